/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_proof (int    argc,
           char **argv)
{
  int status;
  if (!cli_options (&argc, &argv, NULL, "JOB DRAWING.svg",
                    "Puts a bed drawing back on the wall: the greatest distance from what was meant, in mm.",
                    "Exit status: 0 within the job's tolerance, 1 beyond it, 2 bad data.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  RhyProof proof;
  if (!rhy_proof_file (plan, argv[2], &proof, &error))
    return cli_fail (argv[2], error);

  const double tolerance = rhy_job_get_data (rhy_plan_get_job (plan))->output.tolerance_mm;
  const RhyRing ring = rhy_wall_at (rhy_plan_get_wall (plan), proof.where.s);
  const gboolean within = proof.distance_mm <= tolerance;
  char limit[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *line = g_strdup_printf ("%.6f mm at height %.2f mm, %.2f degrees around: %s the tolerance of %s mm\n",
                                           proof.distance_mm, ring.z_mm, proof.where.angle / G_PI * 180.0,
                                           within ? "within" : "beyond", rhy_number_to_text (limit, tolerance));
  if (!cli_print (line, strlen (line)))
    return CLI_BAD;
  if (proof.n_pictures == 0)
    return within ? CLI_DONE : CLI_NOT_READY;

  const RhyRing at = rhy_wall_at (rhy_plan_get_wall (plan), proof.shift_where.s);
  const gboolean in_place = proof.shift_mm <= proof.shift_limit_mm && proof.tone <= RHY_PROOF_TONE_MAX;
  g_autofree char *pictures = g_strdup_printf ("pictures: %.4f mm out of place at height %.2f mm, %.2f degrees around, tones off by %.1f %%: "
                                               "%s the limits of %.4f mm and %.0f %%\n",
                                               proof.shift_mm, at.z_mm, proof.shift_where.angle / G_PI * 180.0, 100.0 * proof.tone,
                                               in_place ? "within" : "beyond", proof.shift_limit_mm, 100.0 * RHY_PROOF_TONE_MAX);
  if (!cli_print (pictures, strlen (pictures)))
    return CLI_BAD;
  return within && in_place ? CLI_DONE : CLI_NOT_READY;
}
