/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/capacity.h>

#include <math.h>

/* Source: derived here. With the tangent (dr, dz) = (sin b, cos b) the inward
 * normal is N = (-cos b, sin b), and dN/ds = k T. A profile shifted by t along N
 * therefore keeps its slopes, and its pieces have the length L (1 + k t) and the
 * curvature k/(1 + k t). At a kink of D the shifted straight pieces meet when
 * both are longer by t tan (D/2).
 */
RhyWall *
rhy_wall_new_inside (const RhyWall *self,
                     double         thickness_mm,
                     GError       **error)
{
  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  const double t = thickness_mm;
  const gsize n = rhy_wall_get_n_pieces (self);
  if (!(t >= 0.0 && isfinite (t)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "wall thickness %g mm: it must be a number, 0 or more", t);
      return NULL;
    }

  g_autofree RhyWallPiece *pieces = g_new0 (RhyWallPiece, n);
  for (gsize i = 0; i < n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (self, i);
      const double grow = 1.0 + p->curvature_per_mm * t;
      pieces[i].slope_rad = p->slope_rad;
      pieces[i].curvature_per_mm = p->curvature_per_mm / grow;
      pieces[i].length_mm += p->length_mm * grow;
      if (i + 1 < n)
        {
          const double end = p->slope_rad + p->curvature_per_mm * p->length_mm;
          const double mitre = t * tan (0.5 * (rhy_wall_get_piece (self, i + 1)->slope_rad - end));
          pieces[i].length_mm += mitre;
          pieces[i + 1].length_mm += mitre;
        }
      if (!(pieces[i].length_mm > 0.0) || !(grow > 0.0))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "a wall %g mm thick leaves no room at height %g mm", t, p->z_mm);
          return NULL;
        }
    }

  /* Shifted past the axis somewhere, it has no inside. */
  const RhyRing base = rhy_wall_at (self, 0.0);
  for (gsize i = 0; i <= n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (self, MIN (i, n - 1));
      const RhyRing at = rhy_wall_at (self, p->s_mm + (i < n ? 0.0 : p->length_mm));
      if (!(at.r_mm - t * cos (at.slope_rad) > 0.0))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "a wall %g mm thick leaves no room at height %g mm, where the radius is %.4g mm", t, at.z_mm, at.r_mm);
          return NULL;
        }
    }
  return rhy_wall_new_pieces (base.z_mm + t * sin (base.slope_rad), base.r_mm - t * cos (base.slope_rad),
                              pieces, n, error);
}

/* The slant at a height; past an end, its piece carried on upright, as a floor or
 * fill line may lie a little beyond the inside of the side. */
static double
slant_at (const RhyWall *wall,
          double         z)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z, &ring))
    return ring.s_mm;
  const RhyRing end = rhy_wall_at (wall, z < rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall));
  return end.s_mm;
}

/* Volume between two heights, mm^3; beyond the wall's ends as a cylinder. */
static double
volume_between (const RhyWall *wall,
                double         z0,
                double         z1)
{
  const double L = rhy_wall_get_length (wall);
  const RhyRing low = rhy_wall_at (wall, 0.0);
  const RhyRing high = rhy_wall_at (wall, L);
  double sum = rhy_wall_volume (wall, slant_at (wall, z0), slant_at (wall, z1));
  sum += G_PI * low.r_mm * low.r_mm * (MAX (low.z_mm - z0, 0.0) - MAX (low.z_mm - z1, 0.0));
  sum += G_PI * high.r_mm * high.r_mm * (MAX (z1 - high.z_mm, 0.0) - MAX (z0 - high.z_mm, 0.0));
  return sum;
}

static RhyWall *
make_inside (const RhyWall   *self,
             const RhyInside *inside,
             double          *floor_mm,
             double          *brim_mm,
             GError         **error)
{
  RhyWall *wall = rhy_wall_new_inside (self, inside != NULL ? inside->wall_mm : 0.0, error);
  if (wall == NULL)
    return NULL;
  *floor_mm = inside != NULL && !isnan (inside->floor_mm) ? inside->floor_mm : rhy_wall_at (wall, 0.0).z_mm;
  *brim_mm = rhy_wall_at (self, rhy_wall_get_length (self)).z_mm;
  if (!(*floor_mm < *brim_mm))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "floor at height %g mm: it must lie below the brim at %g mm", *floor_mm,
                   *brim_mm);
      g_clear_pointer (&wall, rhy_wall_unref);
    }
  return wall;
}

gboolean
rhy_wall_capacity (const RhyWall   *self,
                   const RhyInside *inside,
                   double          *ml,
                   GError         **error)
{
  g_return_val_if_fail (self != NULL && ml != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  double floor_mm, brim_mm;
  g_autoptr (RhyWall) wall = make_inside (self, inside, &floor_mm, &brim_mm, error);
  if (wall == NULL)
    return FALSE;

  const double fill = inside != NULL && !isnan (inside->fill_mm) ? inside->fill_mm : brim_mm;
  if (!(fill >= floor_mm && fill <= brim_mm + RHY_WALL_SLACK_MM))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "fill line at height %g mm: it must lie between the floor at %g mm and the brim at %g mm",
                   fill, floor_mm, brim_mm);
      return FALSE;
    }
  *ml = volume_between (wall, floor_mm, fill) / RHY_MM3_PER_ML;
  return TRUE;
}

gboolean
rhy_wall_fill_height (const RhyWall   *self,
                      const RhyInside *inside,
                      double           ml,
                      double          *height_mm,
                      GError         **error)
{
  g_return_val_if_fail (self != NULL && height_mm != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  double floor_mm, brim_mm;
  g_autoptr (RhyWall) wall = make_inside (self, inside, &floor_mm, &brim_mm, error);
  if (wall == NULL)
    return FALSE;

  const double wanted = ml * RHY_MM3_PER_ML;
  const double most = volume_between (wall, floor_mm, brim_mm);
  if (!(wanted >= 0.0 && wanted <= most))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "%g ml: the vessel holds 0 to %.1f ml", ml, most / RHY_MM3_PER_ML);
      return FALSE;
    }

  /* Newton (the derivative is the surface, pi r^2), kept inside a bracket that
   * halves where it would leave it. */
  double low = floor_mm, high = brim_mm;
  double z = low + (high - low) * wanted / most;
  for (int i = 0; i < 200 && high > low; i++)
    {
      const double off = volume_between (wall, floor_mm, z) - wanted;
      if (off > 0.0)
        high = z;
      else
        low = z;
      const double r = rhy_wall_at (wall, slant_at (wall, z)).r_mm;
      const double next = z - off / (G_PI * r * r);
      const double before = z;
      z = next > low && next < high ? next : 0.5 * (low + high);
      if (fabs (z - before) <= 1e-15 * fabs (z))
        break;
    }
  *height_mm = z;
  return TRUE;
}
