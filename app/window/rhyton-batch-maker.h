/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_BATCH_MAKER (rhyton_batch_maker_get_type ())
/**
 * RhytonBatchMaker:
 *
 * One bed drawing for each row of a list of names: the list, the folder, how far it
 * is, and the rows that did not come out.
 */
G_DECLARE_FINAL_TYPE (RhytonBatchMaker, rhyton_batch_maker, RHYTON, BATCH_MAKER, RhytonPart)

/** rhyton_batch_maker_take_list: as if @file had been chosen. */
void rhyton_batch_maker_take_list (RhytonBatchMaker *self, GFile *file);
/** rhyton_batch_maker_run: into @folder. */
void rhyton_batch_maker_run (RhytonBatchMaker *self, GFile *folder);
/** rhyton_batch_maker_is_running: Returns: whether rows are still to come. */
gboolean rhyton_batch_maker_is_running (RhytonBatchMaker *self);

G_END_DECLS
