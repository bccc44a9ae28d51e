/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* The lays that have a file of their own. rhy_lay_new() has checked the anchor
 * and the turn before it calls these.
 */

#include <rhyton/lay.h>

RhyMap *rhy_lay_new_seen (RhyWall *wall, const RhyLayOptions *options, GError **error);
