/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

/* Whatever job could be read can be worked out and judged, or it is told in one line why not. */

static RhyArtwork *mark;

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  /* An L, in place of the file that the job names. */
  const RhyPoint corners[] = { { 0, 0 }, { 6, 0 }, { 6, 2 }, { 2, 2 }, { 2, 9 }, { 0, 9 } };
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, corners[0].x, corners[0].y);
  for (gsize i = 1; i < G_N_ELEMENTS (corners); i++)
    rhy_path_line_to (path, corners[i].x, corners[i].y);
  rhy_path_close (path);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 1 },
                                                        .pen.matrix = RHY_AFFINE_IDENTITY });
  mark = rhy_artwork_builder_end (builder);
  return 0;
}

static void
work_out (RhyJob *job)
{
  const RhyJobData *d = rhy_job_get_data (job);
  if (d->vessel.profile_file != NULL || d->artwork.repeat > 20)
    return;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, mark, NULL, &error);
  must_be_told (plan != NULL, error);
  if (plan == NULL)
    return;
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autofree char *text = rhy_verdict_to_text (verdict);
  MUST (g_utf8_validate (text, -1, NULL));
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error);
  must_be_told (bent != NULL, error);
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autoptr (RhyJob) job = rhy_job_new_from_data ((const char *) data, (gssize) size, NULL, NULL);
  if (job != NULL)
    work_out (job);
  return 0;
}
