/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* The lays that have a file of their own. rhy_lay_new() has checked the anchor
 * and the turn before it calls these.
 */

#include <rhyton/lay.h>

#include "roll.h"

RhyMap *rhy_lay_new_seen (RhyWall *wall, const RhyLayOptions *options, GError **error);
RhyMap *rhy_lay_new_least (RhyWall *wall, const RhyLayOptions *options, GError **error);

/* The cone behind a rolled lay. */
RhyRoll rhy_lay_get_roll (const RhyMap *rolled);
