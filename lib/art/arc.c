/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "arc.h"

/* Whether more steps are wasted: they converge fast, or not at all. */
static gboolean
is_lost (int    step,
         double error)          /* in units of what is enough */
{
  static const double hopeless[] = { INFINITY, 1000.0, 60.0, 10.0 };
  return error > (step < (int) G_N_ELEMENTS (hopeless) ? hopeless[step] : 3.0);
}

/* Source: derived here. A cubic with given ends and end tangents has two numbers
 * left, the lengths of its arms. They are found by Gauss-Newton on the distances,
 * along the arc's normals, of samples of the true curve: with both free the error
 * falls as h^6, where arms from the end derivatives alone give h^4 (de Boor, Hollig,
 * Sabin, CAGD 4, 1987). If the greatest distance is still over the tolerance while
 * the mean is not, samples are weighed by their distances (Lawson's algorithm),
 * which moves the least-squares fit towards the least greatest error.
 */
double
rhy_arc_fit (RhyArc          *arc,
             const RhyPoint  *q,
             const RhyMetric *metrics,
             gsize            n,
             double          *t,
             double           enough)
{
  double w[RHY_ARC_MAX_SAMPLES];
  const double longest = 3.0 * rhy_point_length (arc->end) + 3.0 * (arc->a + arc->b);
  RhyArc best = *arc;
  RhyArc now = *arc;
  double best_error = INFINITY;
  double best_t[RHY_ARC_MAX_SAMPLES];
  double before = INFINITY;     /* the best, two steps ago and one */
  double last = INFINITY;

  for (gsize i = 0; i < n; i++)
    {
      w[i] = 1.0;
      best_t[i] = t[i];
    }

  for (int step = 0; step < 16; step++)
    {
      double aa = 0.0, ab = 0.0, bb = 0.0, ra = 0.0, rb = 0.0;
      double errors[RHY_ARC_MAX_SAMPLES];
      double worst = 0.0;
      for (gsize i = 0; i < n; i++)
        {
          t[i] = rhy_arc_nearest (&now, q[i], t[i]);
          const RhyPoint e = rhy_point_sum (rhy_arc_at (&now, t[i]), -1.0, q[i]);
          const RhyPoint d = rhy_arc_rate (&now, t[i]);
          const double speed = rhy_point_length (d);
          errors[i] = rhy_point_length (metrics != NULL ? rhy_metric_apply (metrics[i], e) : e);
          worst = MAX (worst, errors[i]);
          if (!(speed > 0.0))
            continue;
          const RhyPoint normal = { -d.y / speed, d.x / speed };
          const double m = 1.0 - t[i];
          const double r = normal.x * e.x + normal.y * e.y;
          const double fa = (normal.x * arc->t0.x + normal.y * arc->t0.y) * 3.0 * m * m * t[i];
          const double fb = -(normal.x * arc->t1.x + normal.y * arc->t1.y) * 3.0 * m * t[i] * t[i];
          aa += w[i] * fa * fa;
          ab += w[i] * fa * fb;
          bb += w[i] * fb * fb;
          ra += w[i] * fa * r;
          rb += w[i] * fb * r;
        }

      if (worst < best_error)
        {
          best = now;
          best_error = worst;
          for (gsize i = 0; i < n; i++)
            best_t[i] = t[i];
        }
      if (worst <= enough || !isfinite (worst) || is_lost (step, best_error / enough) || (step >= 4 && best_error > 0.97 * before))
        break;
      before = last;
      last = best_error;
      if (step >= 4)
        for (gsize i = 0; i < n; i++)
          w[i] = w[i] * (0.1 + errors[i] / worst);

      /* Nearly straight: the arms do not matter, and the matrix has no say. */
      const double det = aa * bb - ab * ab;
      if (!(det > 1e-10 * aa * bb))
        break;
      now.a = CLAMP (now.a - (bb * ra - ab * rb) / det, 0.0, longest);
      now.b = CLAMP (now.b - (aa * rb - ab * ra) / det, 0.0, longest);
    }

  *arc = best;
  for (gsize i = 0; i < n; i++)
    t[i] = best_t[i];
  return best_error;
}

gboolean
rhy_arc_goes_forwards (const double *t,
                       gsize         n)
{
  double last = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      if (!(t[i] > last && t[i] - last < 0.5))
        return FALSE;
      last = t[i];
    }
  return 1.0 - last < 0.5 && last < 1.0;
}
