/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhy-test.h"

#include <rhyton/rhyton.h>
#include <string.h>

/* An F, 30 wide and 50 high: stem on the left, long arm at the top, short arm
 * in the middle. It equals none of its turns and mirror images. */
static inline RhyArtwork *
letter_f (void)
{
  static const RhyPoint p[] = {
    { 0, 0 }, { 8, 0 }, { 8, 20 }, { 22, 20 }, { 22, 28 }, { 8, 28 }, { 8, 42 }, { 30, 42 }, { 30, 50 }, { 0, 50 },
  };
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, p[0].x, p[0].y);
  for (gsize i = 1; i < G_N_ELEMENTS (p); i++)
    rhy_path_line_to (path, p[i].x, p[i].y);
  rhy_path_close (path);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 1 } });
  rhy_artwork_builder_set_size (builder, 30, 50, RHY_SIZE_PHYSICAL);
  return rhy_artwork_builder_end (builder);
}

/* @vessel, @artwork, @rest: lines for those groups and whole groups after them. */
static inline RhyPlan *
plan_with (RhyArtwork *art,
           const char *vessel,
           const char *artwork,
           const char *rest)
{
  GError *error = NULL;
  g_autofree char *text = g_strdup_printf ("[Job]\nFormat=1\nTitle=A & B <test>\n[Vessel]\n%s\n[Artwork]\nFile=none.svg\n%s\n%s\n",
                                           vessel, artwork, rest);
  g_autoptr (RhyJob) job = rhy_job_new_from_data (text, -1, NULL, &error);
  assert_no_error (error);
  RhyPlan *plan = rhy_plan_new (job, art, NULL, &error);
  assert_no_error (error);
  assert_non_null (plan);
  return plan;
}

/* A tapered tumbler with the F on it, burnt by one of the sixteen machines. */
static inline RhyPlan *
f_plan (int machine)
{
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autofree char *rest = g_strdup_printf ("[Hold]\nDrive=chuck\nTilt=auto\n[Machine]\nTravelPerTurn=200\nAxis=%s\nMouth=%s\n"
                                           "TurnReversed=%s\n[Output]\nTolerance=0.01\n",
                                           machine & 1 ? "x" : "y", machine & 2 ? "plus" : "minus",
                                           machine & 4 ? "true" : "false");
  return plan_with (art, "Heights=0;150\nDiameters=62;88", machine & 8 ? "Width=30\nAt=80\nAround=40\nTurn=25"
                                                                       : "Width=30\nAt=80\nAround=0\nTurn=0", rest);
}

/* Where an attribute's value starts, after @from. */
static inline const char *
after (const char *from,
       const char *what)
{
  const char *at = strstr (from, what);
  assert_non_null (at);
  return at + strlen (what);
}

static inline char *
text_of (GBytes *bytes)
{
  gsize n;
  const char *data = g_bytes_get_data (bytes, &n);
  return g_strndup (data, n);
}
