/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/readings.h>

#include <math.h>

#include <rhyton/smooth.h>

#include "fit-models.h"

/* A reading said to be exact still gets a weight; a nanometre is far below any
 * caliper, and keeps the weights finite. */
static const double LEAST_U_MM = 1e-6;

/* Expanded uncertainty: coverage factor 2, about 95 % (JCGM 100:2008, 6.2). */
static const double COVERAGE = 2.0;
static const double PROBABILITY = 0.95;

/* More than anyone takes by hand; what looks at each reading in turn with a fit of all
 * the others, or at each pair, stops here. Longer lists are profiles. */
static const gsize MOST_READINGS = 64;

static double
square (double x)
{
  return x * x;
}

/* The regularised lower incomplete gamma function by its series
 *   P(a, x) = x^a e^-x / Gamma (a + 1) (1 + x/(a+1) + x^2/((a+1)(a+2)) + ...)
 * Source: Abramowitz & Stegun 6.5.29 (from memory). */
static double
gamma_share (double a,
             double x)
{
  double term = 1.0, sum = 1.0;
  for (int k = 1; k < 10000 && term > 1e-17 * sum; k++)
    {
      term *= x / (a + k);
      sum += term;
    }
  return sum * exp (a * log (x) - x - lgamma (a + 1.0));
}

double
rhy_chi_square_limit (gsize  n_free,
                      double probability)
{
  g_return_val_if_fail (n_free >= 1 && probability > 0.0 && probability < 1.0, 0.0);

  const double a = 0.5 * (double) n_free;
  double low = 0.0, high = 1.0;
  while (gamma_share (a, 0.5 * high) < probability)
    high *= 2.0;
  while (high - low > 1e-13 * high)
    {
      const double mid = 0.5 * (low + high);
      if (mid <= low || mid >= high)
        break;
      if (gamma_share (a, 0.5 * mid) < probability)
        low = mid;
      else
        high = mid;
    }
  return 0.5 * (low + high);
}

static gboolean
explains (double chi_square,
          gsize  n_free)
{
  return n_free == 0 || chi_square <= rhy_chi_square_limit (n_free, PROBABILITY);
}

static gboolean
is_u (double u)
{
  return u >= 0.0 && isfinite (u);
}

static gboolean
check_station (const RhyReadings *r,
               gsize              i,
               GError           **error)
{
  const double h = r->heights_mm[i];
  const double d = r->diameters_mm[i];
  if (!isfinite (h) || !(d > 0.0 && isfinite (d)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "diameter %g mm at height %g mm: both must be numbers, the diameter above 0", d, h);
      return FALSE;
    }
  if (i > 0 && !(h > r->heights_mm[i - 1]))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "height %g mm follows %g mm: heights must increase from the base up", h, r->heights_mm[i - 1]);
      return FALSE;
    }
  if (r->u_diameters_mm != NULL && !is_u (r->u_diameters_mm[i]))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "uncertainty %g mm of the diameter at height %g mm: it must be a number, 0 or more",
                   r->u_diameters_mm[i], h);
      return FALSE;
    }
  const double c = r->circumferences_mm != NULL ? r->circumferences_mm[i] : NAN;
  if (!isnan (c) && !(c > 0.0 && isfinite (c)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "circumference %g mm at height %g mm: it must be a number above 0", c, h);
      return FALSE;
    }
  return TRUE;
}

static gboolean
check_readings (const RhyReadings *r,
                GError           **error)
{
  if (r->n < 2)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "%" G_GSIZE_FORMAT " reading%s: at least 2 are needed, at different heights",
                   r->n, r->n == 1 ? "" : "s");
      return FALSE;
    }
  if (!is_u (r->u_height_mm) || !is_u (r->u_diameter_mm) || !is_u (r->u_circumference_mm)
      || !is_u (r->u_overall_height_mm))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "uncertainties %g mm of heights and %g mm of diameters: each must be a number, 0 or more",
                   r->u_height_mm, r->u_diameter_mm);
      return FALSE;
    }
  if (!(r->overall_height_mm >= 0.0 && isfinite (r->overall_height_mm)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "overall height %g mm: it must be a number above 0", r->overall_height_mm);
      return FALSE;
    }
  if (r->n > MOST_READINGS && (r->n_slants > 0 || r->overall_height_mm > 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "%" G_GSIZE_FORMAT " stations: a slant length or overall height goes with %" G_GSIZE_FORMAT " at most",
                   r->n, MOST_READINGS);
      return FALSE;
    }
  for (gsize i = 0; i < r->n; i++)
    if (!check_station (r, i, error))
      return FALSE;

  for (gsize j = 0; j < r->n_slants; j++)
    {
      const RhySlant *s = &r->slants[j];
      if (!(s->length_mm > 0.0 && isfinite (s->length_mm)) || !is_u (s->u_mm)
          || s->low >= s->high || s->high >= r->n)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "slant length %g mm: it must be a number above 0, from a station to a higher one",
                       s->length_mm);
          return FALSE;
        }
    }
  return TRUE;
}

/* One reading against another of the same thing, or against the wall. */
static void
note_if_worse (RhyFit        *fit,
               RhyReadingKind kind,
               gsize          index,
               double         off,
               double         u,
               double        *most)
{
  const double ratio = fabs (off) / u;
  if (!(ratio > *most))
    return;
  *most = ratio;
  fit->worst_kind = kind;
  fit->worst = index;
  fit->worst_mm = off;
  fit->worst_allowed_mm = COVERAGE * u;
}

/* Caliper and tape at one station: two readings of one diameter. Their weighted
 * mean goes on (JCGM 100:2008 has it in H.3 as least squares of a constant). */
static RhyStations *
gather (const RhyReadings *r,
        RhyFit            *fit,
        double            *most)
{
  RhyStations *st = rhy_stations_new (r->n);
  const double u_tape = (r->u_circumference_mm > 0.0 ? r->u_circumference_mm : RHY_TAPE_U_MM) / G_PI;
  for (gsize i = 0; i < r->n; i++)
    {
      st->h[i] = r->heights_mm[i];
      st->u_h[i] = r->u_height_mm;
      st->d[i] = r->diameters_mm[i];
      st->u_d[i] = MAX (r->u_diameters_mm != NULL ? r->u_diameters_mm[i] : r->u_diameter_mm, LEAST_U_MM);
      if (r->circumferences_mm == NULL || isnan (r->circumferences_mm[i]))
        continue;

      const double tape = r->circumferences_mm[i] / G_PI;
      const double off = tape - st->d[i];
      const double u = hypot (st->u_d[i], u_tape);
      note_if_worse (fit, RHY_READING_CIRCUMFERENCE, i, off, u, most);
      st->d[i] += off * square (st->u_d[i] / u);
      st->u_d[i] *= u_tape / u;
    }
  return st;
}

/* A straight fit whose diameter sinks to 0 within the wall. */
static gboolean
closes (const RhyStraightFit *fit,
        GError              **error)
{
  for (gsize i = 0; i < fit->n; i++)
    if (!(fit->d[i] > 0.0))
      {
        g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                     "the straight wall that fits the readings best closes to a point below height %g mm: "
                     "look for a reading with a wrong figure", fit->h[i]);
        return TRUE;
      }
  return FALSE;
}

static gboolean
take_straight (const RhyStraightFit *straight,
               RhyFitModel           model,
               RhyFit               *fit,
               GError              **error)
{
  if (closes (straight, error))
    return FALSE;

  double radii[3];
  for (gsize i = 0; i < straight->n; i++)
    radii[i] = 0.5 * straight->d[i];
  fit->wall = rhy_wall_new_straight (straight->h, radii, straight->n, error);
  if (fit->wall == NULL)
    return FALSE;
  fit->model = model;
  fit->chi_square = straight->chi_square;
  fit->n_free = straight->n_free;
  fit->slope_u_rad = straight->n == 2 ? straight->u_slope : NAN;
  return TRUE;
}

static gboolean
take_through (const RhyStations *st,
              RhyFitModel        model,
              RhyFit            *fit,
              GError           **error)
{
  g_autofree double *radii = g_new (double, st->n);
  for (gsize i = 0; i < st->n; i++)
    radii[i] = 0.5 * st->d[i];
  fit->wall = model == RHY_FIT_SMOOTH ? rhy_wall_new_smooth (st->h, radii, st->n, error)
                                      : rhy_wall_new_straight (st->h, radii, st->n, error);
  fit->model = model;
  fit->chi_square = 0.0;
  fit->n_free = 0;
  fit->slope_u_rad = NAN;
  return fit->wall != NULL;
}

/* Two stations: their cone to the last digit, with the slope's uncertainty. */
static gboolean
take_two (const RhyStations *st,
          RhyFit            *fit,
          GError           **error)
{
  const double taper = (st->d[1] - st->d[0]) / (st->h[1] - st->h[0]);
  const double u_taper = sqrt (square (st->u_d[0]) + square (st->u_d[1])
                               + square (taper) * (square (st->u_h[0]) + square (st->u_h[1])))
                         / (st->h[1] - st->h[0]);
  if (!take_through (st, RHY_FIT_STEPPED, fit, error))
    return FALSE;
  fit->model = st->d[0] == st->d[1] ? RHY_FIT_CYLINDER : RHY_FIT_CONE;
  fit->slope_u_rad = 0.5 * u_taper / (1.0 + 0.25 * taper * taper);
  return TRUE;
}

static gboolean
no_straight (GError **error)
{
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "the readings make no straight wall: they scatter too much");
  return FALSE;
}

static gboolean
fit_straight (const RhyStations *st,
              RhyFit            *fit,
              GError           **error)
{
  RhyStraightFit straight;
  if (!rhy_fit_cone (st, &straight))
    return no_straight (error);
  return take_straight (&straight, straight.d[0] == straight.d[1] ? RHY_FIT_CYLINDER : RHY_FIT_CONE, fit, error);
}

/* Two cones that break near where those of @like do. */
static gboolean
fit_two_cones_like (const RhyStations *st,
                    const RhyFit      *like,
                    RhyFit            *fit,
                    GError           **error)
{
  /* A break moves by the readings' uncertainty over the change of slope: this far only
   * where there is hardly a break. */
  const double within = 0.1 * (st->h[st->n - 1] - st->h[0]);
  RhyStraightFit straight;
  if (!rhy_fit_two_cones_near (st, rhy_wall_get_piece (like->wall, 1)->z_mm, within, &straight))
    return no_straight (error);
  return take_straight (&straight, RHY_FIT_TWO_CONES, fit, error);
}

/* The simplest straight model that explains the stations with something to spare. */
static gboolean
find_simplest (const RhyStations *st,
               RhyStraightFit    *straight,
               RhyFitModel       *model)
{
  gboolean (*const fits[]) (const RhyStations *, RhyStraightFit *) = {
    rhy_fit_cylinder, rhy_fit_cone, rhy_fit_two_cones
  };
  for (gsize i = 0; i < G_N_ELEMENTS (fits); i++)
    {
      RhyStraightFit cone;
      if (!fits[i] (st, straight) || straight->n_free == 0 || !explains (straight->chi_square, straight->n_free))
        continue;
      *model = (RhyFitModel) (RHY_FIT_CYLINDER + i);
      if (*model == RHY_FIT_CYLINDER && rhy_fit_cone (st, &cone))
        straight->u_slope = cone.u_slope;     /* what is known of a slope taken as 0 */
      return TRUE;
    }
  return FALSE;
}

/* One reading between others that contradicts a straight wall through all the
 * rest. An end may well flare or taper off, so ends are left alone. The worst
 * such reading wins. */
static gboolean
find_contradiction (const RhyStations *st,
                    RhyStraightFit    *straight,
                    RhyFitModel       *model,
                    gsize             *which)
{
  double most = 0.0;
  if (st->n < 4 || st->n > MOST_READINGS)
    return FALSE;
  for (gsize i = 1; i + 1 < st->n; i++)
    {
      g_autoptr (RhyStations) rest = rhy_stations_without (st, i);
      RhyStraightFit trial;
      RhyFitModel trial_model;
      if (!find_simplest (rest, &trial, &trial_model))
        continue;
      double taper;
      const double off = st->d[i] - rhy_straight_fit_at (&trial, st->h[i], &taper);
      const double ratio = fabs (off) / hypot (st->u_d[i], taper * st->u_h[i]);
      if (ratio > MAX (most, COVERAGE))
        {
          most = ratio;
          *straight = trial;
          *model = trial_model;
          *which = i;
        }
    }
  return most > 0.0;
}

static gboolean
fit_auto (const RhyStations *st,
          RhyFit            *fit,
          GError           **error)
{
  RhyStraightFit straight;
  RhyFitModel model;
  gsize which;
  fit->agrees = TRUE;
  if (find_simplest (st, &straight, &model))
    return take_straight (&straight, model, fit, error);
  if (find_contradiction (st, &straight, &model, &which))
    {
      fit->agrees = FALSE;
      return take_straight (&straight, model, fit, error);
    }
  return take_through (st, RHY_FIT_SMOOTH, fit, error);
}

/* What to fit: a form of wall, or the model of a former fit. */
typedef struct
{
  RhyWallForm   form;
  const RhyFit *like;         /* NULL: by form */
} Wanted;

static gboolean
fit_stations (const RhyStations *st,
              Wanted             wanted,
              RhyFit            *fit,
              GError           **error)
{
  g_clear_pointer (&fit->wall, rhy_wall_unref);
  fit->agrees = TRUE;
  if (st->n == 2)
    return take_two (st, fit, error);
  if (wanted.like != NULL && wanted.like->model == RHY_FIT_TWO_CONES)
    return fit_two_cones_like (st, wanted.like, fit, error);

  static const RhyWallForm forms[] = {
    [RHY_FIT_CYLINDER] = RHY_WALL_STRAIGHT,
    [RHY_FIT_CONE] = RHY_WALL_STRAIGHT,
    [RHY_FIT_STEPPED] = RHY_WALL_STEPPED,
    [RHY_FIT_SMOOTH] = RHY_WALL_SMOOTH,
  };
  switch (wanted.like != NULL ? forms[wanted.like->model] : wanted.form)
    {
    case RHY_WALL_STRAIGHT:
      return fit_straight (st, fit, error);
    case RHY_WALL_STEPPED:
      return take_through (st, RHY_FIT_STEPPED, fit, error);
    case RHY_WALL_SMOOTH:
      return take_through (st, RHY_FIT_SMOOTH, fit, error);
    case RHY_WALL_AUTO:
    default:
      return fit_auto (st, fit, error);
    }
}

/* Source: derived here; the update is that of sequential least squares. The
 * heights z have covariance P (diagonal at first; the lowest is the origin and
 * has none). A reading that should be a z has the misfit m and variance v; then
 * with g = P a/(a P a + v): z += g m, P -= g (P a)^T, and m^2/(a P a + v) adds to
 * chi-square, one degree of freedom each. A slant length between two stations
 * whose straight distance has slope b changes by cos b with either height.
 */
typedef struct
{
  gsize   n;
  double *P;
  double *z;
  double  chi_square;
} Heights;

static void
move_heights (Heights *heights,
              gsize    low,         /* n: none */
              gsize    high,
              double   a,
              double   misfit,
              double   variance,
              double  *total)
{
  const gsize n = heights->n;
  g_autofree double *Pa = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    Pa[i] = a * (heights->P[i * n + high] - (low < n ? heights->P[i * n + low] : 0.0));
  *total = a * (Pa[high] - (low < n ? Pa[low] : 0.0)) + variance;
  for (gsize i = 0; i < n; i++)
    {
      heights->z[i] += Pa[i] / *total * misfit;
      for (gsize j = 0; j < n; j++)
        heights->P[i * n + j] -= Pa[i] * Pa[j] / *total;
    }
  heights->chi_square += misfit * misfit / *total;
}

/* Lets slant lengths and the overall height correct the stations' heights.
 * Returns the chi-square of doing so. */
static double
adjust_heights (const RhyReadings *r,
                RhyStations       *st,
                RhyFit            *fit,
                double            *most)
{
  const gsize n = st->n;
  g_autofree double *P = g_new0 (double, n * n);
  Heights heights = { n, P, st->h, 0.0 };
  double total;
  for (gsize i = 1; i < n; i++)
    P[i * n + i] = square (MAX (st->u_h[i], LEAST_U_MM));

  if (r->overall_height_mm > 0.0)
    {
      const double u = r->u_overall_height_mm > 0.0 ? r->u_overall_height_mm : r->u_height_mm;
      const double off = r->overall_height_mm - st->h[n - 1];
      move_heights (&heights, n, n - 1, 1.0, off, square (MAX (u, LEAST_U_MM)), &total);
      note_if_worse (fit, RHY_READING_OVERALL_HEIGHT, 0, off, sqrt (total), most);
    }
  for (gsize j = 0; j < r->n_slants; j++)
    {
      const RhySlant *s = &r->slants[j];
      RhyRing low, high;
      if (!rhy_wall_at_height (fit->wall, r->heights_mm[s->low], &low)
          || !rhy_wall_at_height (fit->wall, r->heights_mm[s->high], &high))
        continue;
      const double dz = high.z_mm - low.z_mm;
      const double chord = hypot (dz, high.r_mm - low.r_mm);
      const double moved = (st->h[s->high] - r->heights_mm[s->high]) - (st->h[s->low] - r->heights_mm[s->low]);
      const double off = s->length_mm - (high.s_mm - low.s_mm) - moved * dz / chord;
      const double u = s->u_mm > 0.0 ? s->u_mm : RHY_TAPE_U_MM;
      const double u_r = 0.5 * hypot (st->u_d[s->low], st->u_d[s->high]) * (high.r_mm - low.r_mm) / chord;
      move_heights (&heights, s->low, s->high, dz / chord, off, square (u) + square (u_r), &total);
      note_if_worse (fit, RHY_READING_SLANT, j, off, sqrt (total), most);
    }
  for (gsize i = 1; i < n; i++)
    st->u_h[i] = sqrt (MAX (P[i * n + i], 0.0));
  return heights.chi_square;
}

/* Each diameter against the wall. */
static void
judge_stations (const RhyStations *st,
                RhyFit            *fit,
                double            *most)
{
  for (gsize i = 0; i < st->n; i++)
    {
      RhyRing ring;
      if (!rhy_wall_at_height (fit->wall, st->h[i], &ring))
        continue;
      const double off = st->d[i] - 2.0 * ring.r_mm;
      note_if_worse (fit, RHY_READING_DIAMETER, i, off,
                     hypot (st->u_d[i], 2.0 * tan (ring.slope_rad) * st->u_h[i]), most);
    }
}

/* A figure that is off by one of the usual slips, as against what the others
 * make of its place: within 3 %, which covers a wall that is not quite straight
 * and tells all the factors apart. */
static RhyDoubt
slip_of (double reading,
         double wanted)
{
  const struct { RhyDoubt doubt; double factor; } slips[] = {
    { RHY_DOUBT_INCHES, 25.4 },
    { RHY_DOUBT_CENTIMETRES, 10.0 },
    { RHY_DOUBT_RADIUS, 2.0 },
    { RHY_DOUBT_CIRCUMFERENCE, 1.0 / G_PI },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (slips); i++)
    if (fabs (reading * slips[i].factor / wanted - 1.0) < 0.03)
      return slips[i].doubt;
  return RHY_DOUBT_NONE;
}

/* The sizes below are common sense, no source: a drinking vessel is larger than a
 * thimble, and taller than a tenth of its width. */
static RhyDoubt
doubt_all (const RhyStations *st)
{
  const double span = st->h[st->n - 1] - st->h[0];
  double widest = 0.0;
  for (gsize i = 0; i < st->n; i++)
    widest = MAX (widest, st->d[i]);
  if (widest < 15.0 && span < 35.0)
    return RHY_DOUBT_ALL_SMALL;
  if (span < 0.1 * widest)
    return RHY_DOUBT_HEIGHTS;
  return RHY_DOUBT_NONE;
}

/* Looks for one diameter in another unit: its place by the straight wall through
 * its neighbours (an end: carried on from the nearest two). */
static RhyDoubt
doubt_one (const RhyStations *st,
           gsize             *which,
           double            *off)
{
  for (gsize i = 0; st->n >= 3 && i < st->n; i++)
    {
      const gsize a = i == 0 ? 1 : i - 1;
      const gsize b = i == 0 ? 2 : i + 1 < st->n ? i + 1 : i - 2;
      const double wanted = st->d[a] + (st->d[b] - st->d[a]) * (st->h[i] - st->h[a]) / (st->h[b] - st->h[a]);
      const RhyDoubt doubt = slip_of (st->d[i], wanted);
      const gboolean is_end = i == 0 || i + 1 == st->n;
      /* A bottle's neck is often half its body. Elsewhere the neighbours must be
       * of one kind, else the odd one is among them. */
      if (doubt == RHY_DOUBT_NONE || (is_end && doubt == RHY_DOUBT_RADIUS)
          || MAX (st->d[a], st->d[b]) > 1.5 * MIN (st->d[a], st->d[b]))
        continue;
      *which = i;
      *off = st->d[i] - wanted;
      return doubt;
    }
  return RHY_DOUBT_NONE;
}

/* Stations from readings, and the wall through them; @most is how far, in terms of
 * its uncertainty, the worst of two readings of the same thing is off. */
static RhyStations *
fit_readings (const RhyReadings *readings,
              Wanted             wanted,
              RhyFit            *found,
              double            *most,
              double            *extra,
              GError           **error)
{
  g_autoptr (RhyStations) st = gather (readings, found, most);
  if (!fit_stations (st, wanted, found, error))
    return NULL;
  if (readings->n_slants > 0 || readings->overall_height_mm > 0.0)
    {
      *extra = adjust_heights (readings, st, found, most);
      if (!fit_stations (st, wanted, found, error))
        return NULL;
    }
  return g_steal_pointer (&st);
}

RhyWall *
rhy_readings_fit_like (const RhyReadings *readings,
                       const RhyFit      *like,
                       GError           **error)
{
  RhyFit found = { 0 };
  double most = 0.0, extra = 0.0;
  if (!check_readings (readings, error))
    return NULL;
  g_autoptr (RhyStations) st = fit_readings (readings, (Wanted) { .like = like }, &found, &most, &extra, error);
  return st != NULL ? found.wall : NULL;
}

gboolean
rhy_readings_fit (const RhyReadings *readings,
                  RhyWallForm        form,
                  RhyFit            *fit,
                  GError           **error)
{
  g_return_val_if_fail (readings != NULL && fit != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  if (!check_readings (readings, error))
    return FALSE;

  RhyFit found = { 0 };
  double most = 0.0, extra = 0.0;
  g_autoptr (RhyStations) st = fit_readings (readings, (Wanted) { .form = form }, &found, &most, &extra, error);
  if (st == NULL)
    return FALSE;
  const gboolean pairs_agree = most <= COVERAGE;
  found.chi_square += extra;
  found.n_free += readings->n_slants + (readings->overall_height_mm > 0.0 ? 1 : 0);
  judge_stations (st, &found, &most);

  gsize which = 0;
  double off = 0.0;
  found.doubt = doubt_all (st);
  /* Who asks for a stepped or smooth wall says that the stations are what they are. */
  if (found.doubt == RHY_DOUBT_NONE && (form == RHY_WALL_AUTO || form == RHY_WALL_STRAIGHT))
    found.doubt = doubt_one (st, &which, &off);
  if (found.doubt != RHY_DOUBT_NONE && found.doubt != RHY_DOUBT_ALL_SMALL && found.doubt != RHY_DOUBT_HEIGHTS)
    {
      found.worst_kind = RHY_READING_DIAMETER;
      found.worst = which;
      found.worst_mm = off;
      found.worst_allowed_mm = COVERAGE * st->u_d[which];
    }
  found.agrees = found.agrees && pairs_agree && found.doubt == RHY_DOUBT_NONE
                 && explains (found.chi_square, found.n_free);
  *fit = found;
  return TRUE;
}

gboolean
rhy_readings_fit_straight (const RhyReadings *readings,
                           RhyFit            *fit,
                           GError           **error)
{
  return rhy_readings_fit (readings, RHY_WALL_STRAIGHT, fit, error);
}

static const char *const model_names[] = {
  [RHY_FIT_CYLINDER] = "one cylinder",
  [RHY_FIT_CONE] = "one cone",
  [RHY_FIT_TWO_CONES] = "two cones",
  [RHY_FIT_STEPPED] = "straight from station to station",
  [RHY_FIT_SMOOTH] = "a smooth wall through the stations",
};

static char *
number (double value,
        int    decimals)
{
  char format[8], buffer[G_ASCII_DTOSTR_BUF_SIZE];
  g_snprintf (format, sizeof format, "%%.%df", decimals);
  return g_strdup (g_ascii_formatd (buffer, sizeof buffer, format, value));
}

char *
rhy_readings_describe (const RhyReadings *readings,
                       const RhyFit      *fit)
{
  g_return_val_if_fail (readings != NULL && fit != NULL && fit->wall != NULL, NULL);

  g_autoptr (GString) text = g_string_new (model_names[fit->model]);
  if (fit->model == RHY_FIT_CONE)
    {
      const double degree = 180.0 / G_PI;
      g_autofree char *slope = number (rhy_wall_at (fit->wall, 0.0).slope_rad * degree, 2);
      g_autofree char *u = number (COVERAGE * fit->slope_u_rad * degree, 2);
      g_string_append_printf (text, ", slope %s +- %s degrees (k = 2)", slope, u);
    }
  if (fit->model == RHY_FIT_TWO_CONES)
    {
      g_autofree char *z = number (rhy_wall_get_piece (fit->wall, 1)->z_mm, 1);
      g_string_append_printf (text, " meeting at height %s mm", z);
    }
  if (fit->n_free > 0)
    {
      g_autofree char *chi = number (fit->chi_square, 1);
      g_autofree char *limit = number (rhy_chi_square_limit (fit->n_free, PROBABILITY), 1);
      g_string_append_printf (text, "; %" G_GSIZE_FORMAT " stations, chi-square %s on %" G_GSIZE_FORMAT
                              " (95 %% limit %s)", readings->n, chi, fit->n_free, limit);
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static char *
describe_worst (const RhyReadings *r,
                const RhyFit      *fit)
{
  g_autofree char *off = number (fabs (fit->worst_mm), 2);
  g_autofree char *allowed = number (fit->worst_allowed_mm, 2);
  const char *more = fit->worst_mm > 0.0 ? "more" : "less";
  const gsize i = fit->worst;
  switch (fit->worst_kind)
    {
    case RHY_READING_CIRCUMFERENCE:
      {
        g_autofree char *z = number (r->heights_mm[i], 1);
        return g_strdup_printf ("At height %s mm the tape gives a diameter %s mm %s than the caliper "
                                "(%s mm would be within their uncertainty, k = 2)", z, off, more, allowed);
      }
    case RHY_READING_SLANT:
      {
        g_autofree char *length = number (r->slants[i].length_mm, 1);
        return g_strdup_printf ("The slant length %s mm is %s mm %s than heights and diameters make it "
                                "(%s mm would be within their uncertainty, k = 2)", length, off, more, allowed);
      }
    case RHY_READING_OVERALL_HEIGHT:
      return g_strdup_printf ("The overall height is %s mm %s than the highest station's "
                              "(%s mm would be within their uncertainty, k = 2)", off, more, allowed);
    case RHY_READING_DIAMETER:
    case RHY_READING_HEIGHT:
    default:
      {
        g_autofree char *z = number (r->heights_mm[i], 1);
        g_autofree char *d = number (r->diameters_mm[i], 2);
        return g_strdup_printf ("The diameter %s mm at height %s mm is %s mm %s than the other readings make it "
                                "(%s mm would be within its uncertainty, k = 2)", d, z, off, more, allowed);
      }
    }
}

static const char *const doubt_texts[] = {
  [RHY_DOUBT_NONE] = "Measure it again",
  [RHY_DOUBT_INCHES] = "It would fit as inches: enter millimetres",
  [RHY_DOUBT_CENTIMETRES] = "It would fit as centimetres: enter millimetres",
  [RHY_DOUBT_CIRCUMFERENCE] = "It would fit as a circumference: enter the diameter",
  [RHY_DOUBT_RADIUS] = "It would fit as a radius: enter the diameter",
};

char *
rhy_readings_disagreement (const RhyReadings *readings,
                           const RhyFit      *fit)
{
  g_return_val_if_fail (readings != NULL && fit != NULL, NULL);

  if (fit->agrees)
    return NULL;

  const gsize n = readings->n;
  if (fit->doubt == RHY_DOUBT_ALL_SMALL || fit->doubt == RHY_DOUBT_HEIGHTS)
    {
      g_autofree char *d = number (readings->diameters_mm[n - 1], 2);
      g_autofree char *z = number (readings->heights_mm[n - 1] - readings->heights_mm[0], 2);
      return fit->doubt == RHY_DOUBT_ALL_SMALL
             ? g_strdup_printf ("A vessel %s mm across and %s mm high is a thimble's size. If the readings are "
                                "inches or centimetres, enter millimetres.", d, z)
             : g_strdup_printf ("The heights span only %s mm, for %s mm across. If the heights are inches, "
                                "enter millimetres.", z, d);
    }

  g_autofree char *worst = describe_worst (readings, fit);
  const char *remedy = doubt_texts[fit->doubt];
  if (fit->doubt == RHY_DOUBT_NONE && fit->n_free > 0 && !explains (fit->chi_square, fit->n_free)
      && fabs (fit->worst_mm) <= fit->worst_allowed_mm)
    {
      g_autofree char *chi = number (fit->chi_square, 1);
      g_autofree char *limit = number (rhy_chi_square_limit (fit->n_free, PROBABILITY), 1);
      return g_strdup_printf ("Together the readings are farther off %s than their uncertainty explains "
                              "(chi-square %s, 95 %% limit %s). %s. %s.", model_names[fit->model],
                              chi, limit, worst, remedy);
    }
  return g_strdup_printf ("%s. %s%s.", worst, remedy,
                          fit->doubt == RHY_DOUBT_NONE && fit->worst_kind == RHY_READING_DIAMETER
                            ? ", or set Wall to stepped or smooth if the vessel is like that" : "");
}
