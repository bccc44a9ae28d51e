/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/choice.h>

#include "print.h"

#include <math.h>

/* Nothing that anybody could measure on the piece. */
#define EXACT 1e-4

/* A band is this many times as wide as it is high, and its ends leave the level of its
 * middle by more than the eye passes over beside a rim. Common practice, no source. */
#define BAND_ASPECT 3.0
#define BAND_SAG_MM 1.0

/* Lettering is worth this much stretch to stay level. Common practice, no source. */
#define BAND_STRETCH 0.10

/* A lay has to be better by a tenth to be preferred to a simpler one. */
#define WORTH_IT 0.9

static RhyMap *
lay_of (const RhyPlan *plan,
        RhyLayKind     kind)
{
  const RhyJobArtwork *a = rhy_plan_get_group (plan);
  RhyWall *wall = rhy_plan_get_wall (plan);
  const RhyWallPoint anchor = rhy_plan_get_numbers (plan)->anchor;
  const double eye = a->eye_height_mm;
  RhyLayOptions options = { .kind = kind,
                            .anchor = anchor,
                            .turn_rad = a->turn_rad,
                            .eye_distance_mm = a->eye_distance_mm,
                            .eye_height_mm = isnan (eye) ? rhy_wall_at (wall, anchor.s).z_mm : eye };
  options.ink = rhy_plan_get_ink (plan, &options.n_ink);
  return rhy_lay_new (wall, &options, NULL);
}

static gboolean
has_place_for_all (const RhyMap      *lay,
                   const RhyArtPoint *ink,
                   gsize              n)
{
  g_autofree double *u = g_new (double, n + 1);
  g_autofree double *v = g_new (double, n + 1);
  for (gsize i = 0; i < n; i++)
    {
      u[i] = ink[i].u;
      v[i] = ink[i].v;
    }
  return rhy_map_forward (lay, n, u, v, u, v, NULL) == 0;
}

static double
height_of (const RhyMap  *lay,
           const RhyWall *wall,
           RhyArtPoint    at)
{
  RhyPoint p;
  return rhy_map_point (lay, (RhyPoint) { at.u, at.v }, &p) ? rhy_wall_at (wall, p.x).z_mm : NAN;
}

void
rhy_plan_compare_lays (const RhyPlan *self,
                       RhyLayChoice   choices[RHY_LAY_N_KINDS])
{
  g_return_if_fail (self != NULL && choices != NULL);

  const RhyWall *wall = rhy_plan_get_wall (self);
  gsize n = 0;
  const RhyArtPoint *ink = rhy_plan_get_ink (self, &n);
  for (int k = 0; k < RHY_LAY_N_KINDS; k++)
    {
      choices[k] = (RhyLayChoice) { .kind = (RhyLayKind) k, .widest_mm = NAN, .narrowest_mm = NAN };
      g_autoptr (RhyMap) lay = lay_of (self, (RhyLayKind) k);
      if (lay == NULL || !has_place_for_all (lay, ink, n))
        continue;
      choices[k].is_possible = TRUE;
      choices[k].stretch = rhy_stretch_over (lay, wall, ink, n);
      choices[k].widest_mm = height_of (lay, wall, choices[k].stretch.major_at);
      choices[k].narrowest_mm = height_of (lay, wall, choices[k].stretch.minor_at);
    }
}

static double
greatest (const RhyLayChoice *c)
{
  return c->is_possible ? MAX (c->stretch.major_max - 1.0, 1.0 - c->stretch.minor_min) : INFINITY;
}

/* How far the ends of the artwork's level line would leave the level of its middle, rolled. */
static double
sag_of (const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  g_autoptr (RhyMap) rolled = lay_of (plan, RHY_LAY_ROLLED);
  double sag = 0.0;
  for (int side = -1; rolled != NULL && side <= 1; side += 2)
    {
      RhyPoint p;
      if (rhy_map_point (rolled, (RhyPoint) { 0.5 * side * n->width_mm, 0.0 }, &p))
        sag = MAX (sag, fabs (p.x - n->anchor.s));
    }
  return sag;
}

/* Wide and low, and set level. */
static gboolean
is_band (const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double turn = rhy_plan_get_group (plan)->turn_rad;
  return n->width_mm >= BAND_ASPECT * n->height_mm && fabs (sin (turn)) < 1e-3;
}

RhyLayKind
rhy_plan_recommend_lay (const RhyPlan      *self,
                        const RhyLayChoice  choices[RHY_LAY_N_KINDS],
                        char              **reason)
{
  g_return_val_if_fail (self != NULL && choices != NULL && reason != NULL, RHY_LAY_ROLLED);

  const double sag = sag_of (self);
  if (is_band (self) && sag > BAND_SAG_MM && greatest (&choices[RHY_LAY_RINGED_BALANCED]) <= BAND_STRETCH)
    {
      *reason = rhy_print ("a wide band stays level with the rim; rolled, its ends would be %.1f mm off", sag);
      return RHY_LAY_RINGED_BALANCED;
    }
  if (greatest (&choices[RHY_LAY_ROLLED]) <= EXACT)
    {
      *reason = g_strdup ("a sheet lies on this wall: nothing is stretched");
      return RHY_LAY_ROLLED;
    }
  if (rhy_artwork_get_n_pictures (rhy_plan_get_artwork (self)) > 0 && choices[RHY_LAY_AREA_TRUE].is_possible)
    {
      *reason = g_strdup ("there are pictures: every tone keeps its coverage");
      return RHY_LAY_AREA_TRUE;
    }

  /* How it looks from the front is a wish, not a matter of stretch: seen is not chosen for anybody. */
  const RhyLayKind simplest_first[] = { RHY_LAY_ROLLED, RHY_LAY_RINGED_BALANCED, RHY_LAY_ANGLE_TRUE, RHY_LAY_AREA_TRUE,
                                        RHY_LAY_LEAST_STRETCH };
  const RhyLayChoice *best = &choices[RHY_LAY_ROLLED];
  for (gsize i = 0; i < G_N_ELEMENTS (simplest_first); i++)
    if (greatest (&choices[simplest_first[i]]) < WORTH_IT * greatest (best))
      best = &choices[simplest_first[i]];
  *reason = best->is_possible ? rhy_print ("the least stretch of all here, %.1f %% at most", 100.0 * greatest (best))
                              : g_strdup ("none fits: make the artwork smaller");
  return best->kind;
}
