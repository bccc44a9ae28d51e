/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/uncertainty.h>

#include <math.h>
#include <string.h>

#include "fit-models.h"

double
rhy_u_rectangular (double half_width)
{
  return half_width / sqrt (3.0);
}

double
rhy_u_triangular (double half_width)
{
  return half_width / sqrt (6.0);
}

double
rhy_u_resolution (double step)
{
  return step / sqrt (12.0);
}

double
rhy_u_combine (const double *c,
               const double *u,
               gsize         n,
               const double *correlation)
{
  g_return_val_if_fail (c != NULL && u != NULL, 0.0);

  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      sum += (c[i] * u[i]) * (c[i] * u[i]);
      for (gsize j = i + 1; correlation != NULL && j < n; j++)
        sum += 2.0 * c[i] * c[j] * u[i] * u[j] * correlation[i * n + j];
    }
  return sqrt (MAX (sum, 0.0));
}

/* Source: Ridders, "Accurate computation of F'(x) and F'(x) F''(x)", Advances in
 * Engineering Software 4 (1982), 75-76 (from memory): central differences with
 * a shrinking step, extrapolated to step 0 (Neville); the entry that changes
 * least against its neighbours is taken. A wide first step keeps the rounding of
 * f from being divided by a small number. */
static double
derivative (RhyMeasurand  f,
            gpointer      data,
            double       *x,
            gsize         i,
            double        step)
{
  enum { ROWS = 12 };
  const double shrink = 1.4;
  const double at = x[i];
  double table[ROWS][ROWS];
  double best = 0.0, best_error = G_MAXDOUBLE;

  for (int row = 0; row < ROWS; row++, step /= shrink)
    {
      x[i] = at + step;
      const double up = f (x, data);
      const double above = x[i];
      x[i] = at - step;
      table[0][row] = (up - f (x, data)) / (above - x[i]);
      double factor = shrink * shrink;
      for (int k = 1; k <= row; k++, factor *= shrink * shrink)
        {
          table[k][row] = (table[k - 1][row] * factor - table[k - 1][row - 1]) / (factor - 1.0);
          const double off = MAX (fabs (table[k][row] - table[k - 1][row]),
                                  fabs (table[k][row] - table[k - 1][row - 1]));
          if (off < best_error)
            {
              best_error = off;
              best = table[k][row];
            }
        }
    }
  x[i] = at;
  return best;
}

double
rhy_u_propagate (RhyMeasurand  f,
                 gpointer      data,
                 const double *x,
                 const double *u,
                 gsize         n,
                 const double *correlation,
                 double       *c,
                 double       *y)
{
  g_return_val_if_fail (f != NULL && x != NULL && u != NULL, 0.0);

  g_autofree double *at = g_new (double, n);
  g_autofree double *slopes = g_new (double, n);
  memcpy (at, x, n * sizeof (double));
  for (gsize i = 0; i < n; i++)
    slopes[i] = derivative (f, data, at, i, MAX (0.1 * fabs (x[i]), 2.0 * u[i]));
  if (c != NULL)
    memcpy (c, slopes, n * sizeof (double));
  if (y != NULL)
    *y = f (at, data);
  return rhy_u_combine (slopes, u, n, correlation);
}

/* ---- from readings to the printed size ---- */

/* Each reading costs two fits of all. Longer lists are profiles, whose noise averages out. */
static const gsize MOST_READINGS = 100;

/* How the bed sees a ring: X along the bed from the anchor, which is
 * dz cos t + dr sin t. */
static double
travel (RhyRing from,
        RhyRing to,
        double  tilt)
{
  return (to.z_mm - from.z_mm) * cos (tilt) + (to.r_mm - from.r_mm) * sin (tilt);
}

/* The slant where the travel from the anchor is X: Newton, as dX/ds = cos (b - t).
 * Walls found from readings that moved by their uncertainty lie close to the
 * one that @s comes from, so a few steps do. */
static double
slant_of_travel (const RhyWall *wall,
                 RhyRing        anchor,
                 double         tilt,
                 double         X,
                 double         s)
{
  for (int i = 0; i < 50; i++)
    {
      const RhyRing ring = rhy_wall_at (wall, s);
      const double step = (travel (anchor, ring, tilt) - X) / MAX (cos (ring.slope_rad - tilt), 0.05);
      s -= step;
      if (fabs (step) < 1e-12)
        break;
    }
  return s;
}

typedef struct
{
  RhyRing anchor, low, high, contact;
} Rings;

/* Where the drawing's marks land on a wall: the anchor and the ring of contact by
 * their heights, the ends of the ink by their travel, which the drawing fixed. */
typedef struct
{
  double width, height, slope;
} Printed;

static gboolean
find_ring (const RhyWall *wall,
           double         z,
           const char    *what,
           RhyRing       *ring,
           GError       **error)
{
  if (rhy_wall_at_height (wall, z, ring))
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "height %g mm of %s is not on the wall", z, what);
  return FALSE;
}

/* The ring at a height; past an end, which may have moved below it, carried on. */
static RhyRing
ring_near (const RhyWall *wall,
           double         z,
           double         s)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z, &ring))
    return ring;
  for (int i = 0; i < 50; i++)
    {
      ring = rhy_wall_at (wall, s);
      s += (z - ring.z_mm) / MAX (cos (ring.slope_rad), 0.05);
      if (fabs (z - ring.z_mm) < 1e-12)
        break;
    }
  return ring;
}

static Printed
print_on (const RhyWall  *wall,
          const Rings    *drawn,
          const RhyPrint *print)
{
  const RhyRing anchor = ring_near (wall, print->anchor_mm, drawn->anchor.s_mm);
  const double tilt = print->tilt_rad;
  double turn = print->width_mm / drawn->anchor.r_mm;
  if (print->rollers)
    turn *= drawn->contact.r_mm / ring_near (wall, print->contact_mm, drawn->contact.s_mm).r_mm;
  const double low = slant_of_travel (wall, anchor, tilt, travel (drawn->anchor, drawn->low, tilt), drawn->low.s_mm);
  const double high = slant_of_travel (wall, anchor, tilt, travel (drawn->anchor, drawn->high, tilt), drawn->high.s_mm);
  return (Printed) { turn * anchor.r_mm, high - low, anchor.slope_rad };
}

/* One number among the readings, with its standard uncertainty. */
typedef struct
{
  RhyReadingKind kind;
  gsize          index;
  double        *value;
  double         u;
  double         most;      /* a height may not pass its neighbours */
} Input;

typedef struct
{
  RhyReadings r;            /* with arrays of its own */
  double     *heights, *diameters, *tapes;
  RhySlant   *slants;
  GArray     *inputs;
} Moving;

static void
add_input (Moving        *moving,
           RhyReadingKind kind,
           gsize          index,
           double        *value,
           double         u,
           double         most)
{
  const Input input = { kind, index, value, u, most };
  if (u > 0.0)
    g_array_append_val (moving->inputs, input);
}

static void
moving_init (Moving            *moving,
             const RhyReadings *r)
{
  moving->r = *r;
  moving->r.heights_mm = moving->heights = g_memdup2 (r->heights_mm, r->n * sizeof (double));
  moving->r.diameters_mm = moving->diameters = g_memdup2 (r->diameters_mm, r->n * sizeof (double));
  moving->r.circumferences_mm = moving->tapes = r->circumferences_mm != NULL
    ? g_memdup2 (r->circumferences_mm, r->n * sizeof (double)) : NULL;
  moving->r.slants = moving->slants = r->n_slants > 0 ? g_memdup2 (r->slants, r->n_slants * sizeof (RhySlant)) : NULL;
  moving->inputs = g_array_new (FALSE, FALSE, sizeof (Input));

  for (gsize i = 0; i < r->n; i++)
    {
      double gap = G_MAXDOUBLE;
      if (i > 0)
        gap = MIN (gap, r->heights_mm[i] - r->heights_mm[i - 1]);
      if (i + 1 < r->n)
        gap = MIN (gap, r->heights_mm[i + 1] - r->heights_mm[i]);
      add_input (moving, RHY_READING_DIAMETER, i, &moving->diameters[i],
                 r->u_diameters_mm != NULL ? r->u_diameters_mm[i] : r->u_diameter_mm, 0.25 * r->diameters_mm[i]);
      add_input (moving, RHY_READING_HEIGHT, i, &moving->heights[i], r->u_height_mm, 0.25 * gap);
      if (moving->tapes != NULL && !isnan (moving->tapes[i]))
        add_input (moving, RHY_READING_CIRCUMFERENCE, i, &moving->tapes[i],
                   r->u_circumference_mm > 0.0 ? r->u_circumference_mm : RHY_TAPE_U_MM, G_MAXDOUBLE);
    }
  for (gsize j = 0; j < r->n_slants; j++)
    add_input (moving, RHY_READING_SLANT, j, &moving->slants[j].length_mm,
               r->slants[j].u_mm > 0.0 ? r->slants[j].u_mm : RHY_TAPE_U_MM, 0.25 * r->slants[j].length_mm);
  if (r->overall_height_mm > 0.0)
    add_input (moving, RHY_READING_OVERALL_HEIGHT, 0, &moving->r.overall_height_mm,
               r->u_overall_height_mm > 0.0 ? r->u_overall_height_mm : r->u_height_mm, G_MAXDOUBLE);
}

static void
moving_clear (Moving *moving)
{
  g_free (moving->heights);
  g_free (moving->diameters);
  g_free (moving->tapes);
  g_free (moving->slants);
  g_array_unref (moving->inputs);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Moving, moving_clear)

static gboolean
print_moved (Moving         *moving,
             const Input    *input,
             double          by,
             const RhyFit   *fit,
             const Rings    *drawn,
             const RhyPrint *print,
             Printed        *printed,
             GError        **error)
{
  const double at = *input->value;
  *input->value = at + by;
  g_autoptr (RhyWall) wall = rhy_readings_fit_like (&moving->r, fit, error);
  *input->value = at;
  if (wall == NULL)
    return FALSE;
  *printed = print_on (wall, drawn, print);
  return TRUE;
}

gboolean
rhy_readings_print_uncertainty (const RhyReadings   *readings,
                                const RhyFit        *fit,
                                const RhyPrint      *print,
                                RhyPrintUncertainty *uncertainty,
                                GError             **error)
{
  g_return_val_if_fail (readings != NULL && fit != NULL && fit->wall != NULL, FALSE);
  g_return_val_if_fail (print != NULL && uncertainty != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  Rings drawn;
  if (!find_ring (fit->wall, print->anchor_mm, "the anchor", &drawn.anchor, error)
      || !find_ring (fit->wall, print->low_mm, "the ink's lower end", &drawn.low, error)
      || !find_ring (fit->wall, print->high_mm, "the ink's upper end", &drawn.high, error)
      || (print->rollers && !find_ring (fit->wall, print->contact_mm, "the rollers", &drawn.contact, error)))
    return FALSE;

  if (readings->n > MOST_READINGS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "%" G_GSIZE_FORMAT " readings: their uncertainty is followed for %" G_GSIZE_FORMAT " at most",
                   readings->n, MOST_READINGS);
      return FALSE;
    }
  g_auto (Moving) moving;
  moving_init (&moving, readings);

  RhyPrintUncertainty sum = { 0 };
  double most = 0.0;
  for (guint i = 0; i < moving.inputs->len; i++)
    {
      const Input *input = &g_array_index (moving.inputs, Input, i);
      const double step = MIN (input->u, input->most);
      Printed up, down;
      if (!print_moved (&moving, input, step, fit, &drawn, print, &up, error)
          || !print_moved (&moving, input, -step, fit, &drawn, print, &down, error))
        return FALSE;
      const double scale = 0.5 * input->u / step;
      const double width = scale * (up.width - down.width);
      const double height = scale * (up.height - down.height);
      const double slope = scale * (up.slope - down.slope);
      const double share = width * width + height * height;
      sum.u_width_mm += width * width;
      sum.u_height_mm += height * height;
      sum.u_slope_rad += slope * slope;
      if (share > most)
        {
          most = share;
          sum.again_kind = input->kind;
          sum.again = input->index;
        }
    }
  const double all = sum.u_width_mm + sum.u_height_mm;
  sum.again_share = all > 0.0 ? most / all : 0.0;
  sum.u_width_mm = sqrt (sum.u_width_mm);
  sum.u_height_mm = sqrt (sum.u_height_mm);
  sum.u_slope_rad = sqrt (sum.u_slope_rad);
  sum.u_sector_rad = 2.0 * G_PI * cos (drawn.anchor.slope_rad) * sum.u_slope_rad;
  *uncertainty = sum;
  return TRUE;
}

char *
rhy_print_uncertainty_advice (const RhyReadings         *readings,
                              const RhyPrintUncertainty *uncertainty)
{
  g_return_val_if_fail (readings != NULL && uncertainty != NULL, NULL);

  if (!(uncertainty->again_share > 0.0))
    return g_strdup ("no reading matters to it");

  const gsize i = uncertainty->again;
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  const int percent = (int) lround (100.0 * uncertainty->again_share);
  switch (uncertainty->again_kind)
    {
    case RHY_READING_SLANT:
      g_ascii_formatd (buffer, sizeof buffer, "%.1f", readings->slants[i].length_mm);
      return g_strdup_printf ("the slant length %s mm makes %d %% of it: take that one again first", buffer, percent);
    case RHY_READING_OVERALL_HEIGHT:
      return g_strdup_printf ("the overall height makes %d %% of it: take that one again first", percent);
    case RHY_READING_HEIGHT:
      g_ascii_formatd (buffer, sizeof buffer, "%.1f", readings->heights_mm[i]);
      return g_strdup_printf ("the height of the station at %s mm makes %d %% of it: take that one again first", buffer, percent);
    case RHY_READING_CIRCUMFERENCE:
      g_ascii_formatd (buffer, sizeof buffer, "%.1f", readings->heights_mm[i]);
      return g_strdup_printf ("the circumference at height %s mm makes %d %% of it: take that one again first", buffer, percent);
    case RHY_READING_DIAMETER:
    default:
      g_ascii_formatd (buffer, sizeof buffer, "%.1f", readings->heights_mm[i]);
      return g_strdup_printf ("the diameter at height %s mm makes %d %% of it: take that one again first", buffer, percent);
    }
}
