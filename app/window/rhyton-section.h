/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_SECTION (rhyton_section_get_type ())
/**
 * RhytonSection:
 *
 * The vessel in section, as the document's readings have it or as they would be with what is
 * being typed. Signal "picked" (int reading): somebody clicked on one. Signal "renewed": another
 * vessel, or another volume in it, is drawn.
 */
G_DECLARE_FINAL_TYPE (RhytonSection, rhyton_section, RHYTON, SECTION, RhytonPart)

/** rhyton_section_try: @job: (nullable): shown instead of the document's until that changes; one whose
 *   readings make no wall is not taken. */
void rhyton_section_try (RhytonSection *self, const RhyJob *job);
/** rhyton_section_mark: @reading: from the lowest, 0 on; -1: none. */
void rhyton_section_mark (RhytonSection *self, int reading);
/** rhyton_section_set_volume: @ml: to be seen standing in it; 0: none. */
void rhyton_section_set_volume (RhytonSection *self, double ml);
/** rhyton_section_describe: Returns: (transfer full): what is drawn, in words, as a screen reader has it. */
char *rhyton_section_describe (RhytonSection *self);
/** rhyton_section_describe_level: Returns: (transfer full): how high the volume stands, or why not; "" without one. */
char *rhyton_section_describe_level (RhytonSection *self);

G_END_DECLS
