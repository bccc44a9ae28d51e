/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/stretch.h>

#include <math.h>

/* Source: the singular values of [a b; c d] without forming its square:
 * p = hypot (a + d, c - b), q = hypot (a - d, b + c), (p +- q)/2 (Blinn, IEEE
 * Computer Graphics & Applications 16(2), 1996); and then
 * omega = 2 asin ((s1 - s2)/(s1 + s2)) (Snyder, USGS PP 1395, eq. 4-1 and 4-9).
 */
RhyStretch
rhy_stretch_from_jacobian (RhyJacobian j,
                           double      r_mm)
{
  const double a = r_mm * j.yx, b = r_mm * j.yy;    /* around */
  const double c = j.xx, d = j.xy;                  /* along */
  double p = hypot (a + d, c - b);
  double q = hypot (a - d, b + c);
  if (q > p)                                        /* a mirrored map */
    {
      const double swap = p;
      p = q;
      q = swap;
    }
  const double major = 0.5 * (p + q);
  const double minor = 0.5 * (p - q);
  return (RhyStretch) { major, minor, major * minor, p > 0.0 ? 2.0 * asin (q / p) : 0.0 };
}

gboolean
rhy_stretch_at (const RhyMap  *lay,
                const RhyWall *wall,
                RhyArtPoint    at,
                RhyStretch    *stretch)
{
  g_return_val_if_fail (lay != NULL && wall != NULL && stretch != NULL, FALSE);

  double s, a;
  RhyJacobian j;
  if (rhy_map_jacobian (lay, 1, &at.u, &at.v, &s, &a, &j, NULL) != 0)
    return FALSE;
  *stretch = rhy_stretch_from_jacobian (j, rhy_wall_at (wall, s).r_mm);
  return TRUE;
}

RhyStretchRange
rhy_stretch_over (const RhyMap      *lay,
                  const RhyWall     *wall,
                  const RhyArtPoint *ink,
                  gsize              n)
{
  g_return_val_if_fail (lay != NULL && wall != NULL && (ink != NULL || n == 0), (RhyStretchRange) { 0 });

  enum { BLOCK = 256 };
  RhyStretchRange range = { .major_max = -G_MAXDOUBLE, .minor_min = G_MAXDOUBLE,
                            .area_max = -G_MAXDOUBLE, .area_min = G_MAXDOUBLE };
  gboolean any = FALSE;

  for (gsize from = 0; from < n; from += BLOCK)
    {
      double u[BLOCK], v[BLOCK];
      RhyJacobian j[BLOCK];
      guint8 valid[BLOCK];
      const gsize count = MIN (n - from, BLOCK);
      for (gsize i = 0; i < count; i++)
        {
          u[i] = ink[from + i].u;
          v[i] = ink[from + i].v;
        }
      rhy_map_jacobian (lay, count, u, v, u, v, j, valid);

      for (gsize i = 0; i < count; i++)
        {
          if (!valid[i])
            continue;
          const RhyStretch x = rhy_stretch_from_jacobian (j[i], rhy_wall_at (wall, u[i]).r_mm);
          any = TRUE;
          if (x.major > range.major_max)
            {
              range.major_max = x.major;
              range.major_at = ink[from + i];
            }
          if (x.minor < range.minor_min)
            {
              range.minor_min = x.minor;
              range.minor_at = ink[from + i];
            }
          range.area_max = MAX (range.area_max, x.area);
          range.area_min = MIN (range.area_min, x.area);
          range.angle_max_rad = MAX (range.angle_max_rad, x.angle_rad);
        }
    }
  return any ? range : (RhyStretchRange) { .major_max = 1.0, .minor_min = 1.0, .area_max = 1.0, .area_min = 1.0 };
}
