/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/profile-file.h>

#include "error-line.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <glib/gstdio.h>

#include <rhyton/smooth.h>

#include "cholesky.h"
#include "fit-models.h"
#include "sinc.h"

/* ---- reading ---- */

enum { MOST_BYTES = 32 << 20 };

typedef struct { double z, d; } Row;

static int
compare_rows (gconstpointer a,
              gconstpointer b)
{
  const double za = ((const Row *) a)->z;
  const double zb = ((const Row *) b)->z;
  return (za > zb) - (za < zb);
}

/* Two numbers and nothing else. */
static gboolean
parse_row (const char *line,
           Row        *row)
{
  const gboolean comma_is_decimal = strpbrk (line, "\t;") != NULL;
  g_autofree char *text = g_strdup (line);
  for (char *c = text; *c != '\0'; c++)
    {
      if (*c == ',')
        *c = comma_is_decimal ? '.' : ' ';
      else if (*c == ';')
        *c = ' ';
    }
  char *end = NULL, *rest = NULL;
  row->z = g_ascii_strtod (text, &end);
  if (end == text || !g_ascii_isspace (*end))
    return FALSE;
  row->d = g_ascii_strtod (end, &rest);
  if (rest == end)
    return FALSE;
  while (g_ascii_isspace (*rest))
    rest++;
  return *rest == '\0' && isfinite (row->z) && isfinite (row->d);
}

/* As job files allow; no vessel comes near it. */
static const double LENGTH_MAX_MM = 1e4;

static gboolean
complain_line (gsize       number,
               const char *line,
               const char *wanted,
               GError    **error)
{
  g_autofree char *shown = rhy_error_line (line, -1, 40);
  g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "line %" G_GSIZE_FORMAT " '%s': wanted %s", number, shown, wanted);
  return FALSE;
}

static gboolean
parse_rows (char    *text,
            GArray  *rows,
            GError **error)
{
  gboolean may_be_headings = TRUE;
  gsize number = 0;
  for (char *line = text; line != NULL;)
    {
      char *next = strchr (line, '\n');
      if (next != NULL)
        *next++ = '\0';
      number++;
      g_strstrip (line);
      Row row;
      if (*line == '\0' || *line == '#')
        ;
      else if (parse_row (line, &row))
        {
          if (!(row.d > 0.0 && row.d <= LENGTH_MAX_MM))
            return complain_line (number, line, "a diameter above 0 up to 10000 mm", error);
          if (!(fabs (row.z) <= LENGTH_MAX_MM))
            return complain_line (number, line, "a height from -10000 to 10000 mm", error);
          if (rows->len >= RHY_PROFILE_MAX_ROWS)
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "more than %d rows", RHY_PROFILE_MAX_ROWS);
              return FALSE;
            }
          g_array_append_val (rows, row);
          may_be_headings = FALSE;
        }
      else if (may_be_headings && (g_ascii_isalpha (*line) || *line == '"'))
        may_be_headings = FALSE;
      else
        return complain_line (number, line, "a height and a diameter in mm", error);
      line = next;
    }
  return TRUE;
}

gboolean
rhy_profile_read (const char *path,
                  double    **heights_mm,
                  double    **diameters_mm,
                  gsize      *n,
                  GError    **error)
{
  g_return_val_if_fail (path != NULL && heights_mm != NULL && diameters_mm != NULL && n != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  g_autofree char *text = NULL;
  gsize length;
  /* A device has no end, and text for that many rows is no longer. */
  GStatBuf about;
  if (g_stat (path, &about) == 0 && (!S_ISREG (about.st_mode) || about.st_size > MOST_BYTES))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "a profile must be a plain file of at most %d MiB", MOST_BYTES >> 20);
      return FALSE;
    }
  if (!g_file_get_contents (path, &text, &length, error))
    return FALSE;
  if (memchr (text, '\0', length) != NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_PROFILE, "not a text file");
      return FALSE;
    }

  g_autoptr (GArray) rows = g_array_new (FALSE, FALSE, sizeof (Row));
  const gboolean has_mark = g_str_has_prefix (text, "\357\273\277");    /* some spreadsheets write one */
  if (!parse_rows (text + (has_mark ? 3 : 0), rows, error))
    return FALSE;
  g_array_sort (rows, compare_rows);

  gsize used = 0;
  for (guint i = 0; i < rows->len;)
    {
      Row sum = { 0.0, 0.0 };
      guint k = i;
      for (; k < rows->len && g_array_index (rows, Row, k).z == g_array_index (rows, Row, i).z; k++)
        sum.d += g_array_index (rows, Row, k).d;
      sum.z = g_array_index (rows, Row, i).z;
      sum.d /= k - i;
      g_array_index (rows, Row, used++) = sum;
      i = k;
    }
  if (used < 2)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "%" G_GSIZE_FORMAT " row%s: at least 2 are needed, at different heights", used, used == 1 ? "" : "s");
      return FALSE;
    }

  *n = used;
  *heights_mm = g_new (double, used);
  *diameters_mm = g_new (double, used);
  for (gsize i = 0; i < used; i++)
    {
      (*heights_mm)[i] = g_array_index (rows, Row, i).z;
      (*diameters_mm)[i] = g_array_index (rows, Row, i).d;
    }
  return TRUE;
}

/* ---- fitting ---- */

/* Rows are averaged in groups down to this many: enough for every feature, and the
 * fit takes milliseconds. */
static const gsize MOST_POINTS = 400;

/* Normal noise never reaches this many standard deviations. */
static const double STRAY_NOISES = 8.0;

/* Each piece must hold this many points, or noise could be fitted. */
static const gsize POINTS_A_PIECE = 4;

/* An arc whose slope reaches 90 degrees has no height: 87 is near enough. */
static const double MOST_SINE = 0.9986;

/* Enough to tell a good place for a join from a bad one, and to settle. */
enum { FEW_ROUNDS = 6, ALL_ROUNDS = 40 };

typedef struct
{
  gsize         n;
  double       *z, *r;
  double        noise;      /* of one point's radius */
  double        tolerance;  /* of a radius */
  double       *off;        /* scratch: point less chain */
} Points;

/* Source: derived here. On an arc of curvature k the sine w of the slope is linear
 * in the height, dw/dz = k, and the radius over it grows by
 *
 *   (cos b0 - cos b)/k = dz (w0 + w)/(c0 + c),   c = sqrt (1 - w^2),
 *
 * also at k = 0. So a chain without a kink is a polyline w(z): the unknowns are
 * the radius at the bottom, w at each join and the joins' heights.
 */
typedef struct
{
  gsize  pieces;
  double r0;
  double w[RHY_PROFILE_MAX_PIECES + 1];
  double z[RHY_PROFILE_MAX_PIECES + 1];
} Polyline;

static double
rise (double dz,
      double w0,
      double w)
{
  return dz * (w0 + w) / (sqrt (1.0 - w0 * w0) + sqrt (1.0 - w * w));
}

/* Sum of squares of point less chain; the differences too, if wanted. */
static double
differ (const Points   *points,
        const Polyline *chain,
        double         *off)
{
  double sum = 0.0;
  double r = chain->r0;
  gsize j = 0;
  double slope = (chain->w[1] - chain->w[0]) / (chain->z[1] - chain->z[0]);
  for (gsize i = 0; i < points->n; i++)
    {
      while (j + 1 < chain->pieces && points->z[i] > chain->z[j + 1])
        {
          r += rise (chain->z[j + 1] - chain->z[j], chain->w[j], chain->w[j + 1]);
          j++;
          slope = (chain->w[j + 1] - chain->w[j]) / (chain->z[j + 1] - chain->z[j]);
        }
      const double dz = points->z[i] - chain->z[j];
      const double e = points->r[i] - r - rise (dz, chain->w[j], CLAMP (chain->w[j] + slope * dz, -1.0, 1.0));
      sum += e * e;
      if (off != NULL)
        off[i] = e;
    }
  return sum;
}

static double *
unknown (Polyline *chain,
         gsize     i)
{
  if (i == 0)
    return &chain->r0;
  if (i <= chain->pieces + 1)
    return &chain->w[i - 1];
  return &chain->z[i - chain->pieces - 1];    /* the inner joins */
}

/* Joins in order, each piece with points enough, no slope lying flat. */
static gboolean
is_sound (const Points   *points,
          const Polyline *chain)
{
  gsize i = 0;
  for (gsize j = 0; j <= chain->pieces; j++)
    if (!(fabs (chain->w[j]) <= MOST_SINE))
      return FALSE;
  for (gsize j = 0; j < chain->pieces; j++)
    {
      gsize count = 0;
      if (!(chain->z[j + 1] > chain->z[j]))
        return FALSE;
      for (; i < points->n && (points->z[i] <= chain->z[j + 1] || j + 1 == chain->pieces); i++)
        count++;
      if (count < POINTS_A_PIECE)
        return FALSE;
    }
  return isfinite (chain->r0);
}

/* Least squares by Levenberg and Marquardt (damped Gauss-Newton), derivatives by
 * central differences. It improves the chain as far as it can: meeting the cap
 * is no failure, as the caller judges the result by its tolerance. */
static double
improve (const Points *points,
         Polyline     *chain,
         int           rounds)
{
  const gsize p = 2 * chain->pieces + 1;
  const gsize n = points->n;
  g_autofree double *jacobian = g_new (double, n * p);
  g_autofree double *off = g_new (double, n);
  g_autofree double *normal = g_new (double, p * p);
  g_autofree double *a = g_new (double, p * p);
  g_autofree double *gradient = g_new (double, p);
  g_autofree double *step = g_new (double, p);
  g_autofree double *up = g_new (double, n);
  double damping = 1e-3;
  double best = differ (points, chain, off);

  for (int round = 0; round < rounds; round++)
    {
      for (gsize i = 0; i < p; i++)
        {
          Polyline moved = *chain;
          const double h = i > 0 && i <= chain->pieces + 1 ? 1e-6 : 1e-4;
          *unknown (&moved, i) += h;
          differ (points, &moved, up);
          *unknown (&moved, i) -= 2.0 * h;
          differ (points, &moved, &jacobian[i * n]);
          for (gsize k = 0; k < n; k++)
            jacobian[i * n + k] = (jacobian[i * n + k] - up[k]) / (2.0 * h);
        }
      for (gsize i = 0; i < p; i++)
        {
          gradient[i] = 0.0;
          for (gsize k = 0; k < n; k++)
            gradient[i] += jacobian[i * n + k] * off[k];
          for (gsize j = 0; j <= i; j++)
            {
              double sum = 0.0;
              for (gsize k = 0; k < n; k++)
                sum += jacobian[i * n + k] * jacobian[j * n + k];
              normal[i * p + j] = normal[j * p + i] = sum;
            }
        }

      gboolean better = FALSE;
      double gain = 0.0;
      for (int attempt = 0; attempt < 12 && !better; attempt++)
        {
          memcpy (a, normal, p * p * sizeof (double));
          memcpy (step, gradient, p * sizeof (double));
          for (gsize i = 0; i < p; i++)
            a[i * p + i] += damping * normal[i * p + i] + 1e-12;
          Polyline moved = *chain;
          if (rhy_cholesky_factor (a, p))
            {
              rhy_cholesky_solve (a, step, p);
              for (gsize i = 0; i < p; i++)
                *unknown (&moved, i) += step[i];
              if (is_sound (points, &moved))
                {
                  const double sum = differ (points, &moved, NULL);
                  better = sum < best;
                  gain = best - sum;
                }
            }
          if (!better)
            {
              damping *= 5.0;
              continue;
            }
          *chain = moved;
          best = differ (points, chain, off);
          damping = MAX (damping / 5.0, 1e-9);
        }
      if (!better || gain <= 1e-6 * best)
        break;
    }
  return best;
}

/* How far the chain strays beyond what noise explains, as a multiple of what is
 * allowed, and where: the mean of so many neighbouring differences that noise
 * leaves a third of the tolerance in it, but of no more than an eighth of all. */
static double
strays (const Points   *points,
        const Polyline *chain,
        gsize          *where)
{
  differ (points, chain, points->off);
  const double ratio = 3.0 * points->noise / points->tolerance;
  const gsize window = CLAMP ((gsize) ceil (ratio * ratio), 1, MAX (points->n / 8, 1));
  const double allowed = MAX (points->tolerance, 3.5 * points->noise / sqrt ((double) window));
  double sum = 0.0, most = 0.0;
  for (gsize i = 0; i < points->n; i++)
    {
      sum += points->off[i];
      if (i >= window)
        sum -= points->off[i - window];
      if (i + 1 >= window && fabs (sum) / (double) window > most)
        {
          most = fabs (sum) / (double) window;
          *where = i - window / 2;
        }
    }
  return most / allowed;
}

/* Another join at a height: the piece there is cut in two. */
static gboolean
insert_join (const Points *points,
             Polyline     *chain,
             double        z)
{
  if (chain->pieces == RHY_PROFILE_MAX_PIECES)
    return FALSE;
  gsize j = 0;
  while (j + 1 < chain->pieces && z > chain->z[j + 1])
    j++;
  const double t = (z - chain->z[j]) / (chain->z[j + 1] - chain->z[j]);
  const double w = chain->w[j] + t * (chain->w[j + 1] - chain->w[j]);
  for (gsize k = chain->pieces + 1; k > j + 1; k--)
    {
      chain->z[k] = chain->z[k - 1];
      chain->w[k] = chain->w[k - 1];
    }
  chain->z[j + 1] = z;
  chain->w[j + 1] = w;
  chain->pieces++;
  return is_sound (points, chain);
}

static void
remove_join (Polyline *chain,
             gsize     j)
{
  for (gsize k = j; k < chain->pieces; k++)
    {
      chain->z[k] = chain->z[k + 1];
      chain->w[k] = chain->w[k + 1];
    }
  chain->pieces--;
}

/* The best of a few places for one more join: at the worst point, in the middle
 * of the piece there, and in the middle of each neighbour. */
static gboolean
refine (const Points *points,
        Polyline     *chain,
        gsize         worst)
{
  gsize j = 0;
  while (j + 1 < chain->pieces && points->z[worst] > chain->z[j + 1])
    j++;
  const double places[] = {
    points->z[worst],
    0.5 * (chain->z[j] + chain->z[j + 1]),
    j > 0 ? 0.5 * (chain->z[j - 1] + chain->z[j]) : NAN,
    j + 1 < chain->pieces ? 0.5 * (chain->z[j + 1] + chain->z[j + 2]) : NAN,
  };
  Polyline best;
  double least = G_MAXDOUBLE;
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      Polyline trial = *chain;
      if (isnan (places[i]) || !insert_join (points, &trial, places[i]))
        continue;
      const double sum = improve (points, &trial, FEW_ROUNDS);
      if (sum < least)
        {
          least = sum;
          best = trial;
        }
    }
  if (least == G_MAXDOUBLE)
    return FALSE;
  *chain = best;
  improve (points, chain, ALL_ROUNDS);
  return TRUE;
}

/* Drops joins for as long as the rest keeps the tolerance without them. */
static void
prune (const Points *points,
       Polyline     *chain)
{
  gboolean again = TRUE;
  while (again)
    {
      again = FALSE;
      for (gsize j = 1; j < chain->pieces && !again; j++)
        {
          Polyline trial = *chain;
          gsize where;
          remove_join (&trial, j);
          improve (points, &trial, ALL_ROUNDS);
          if (strays (points, &trial, &where) > 1.0)
            continue;
          *chain = trial;
          again = TRUE;
        }
    }
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  const double x = *(const double *) a;
  const double y = *(const double *) b;
  return (x > y) - (x < y);
}

/* How far a row's diameter is off the straight line between its neighbours'. */
static double
off_neighbours (const double *z,
                const double *d,
                gsize         i)
{
  const double t = (z[i] - z[i - 1]) / (z[i + 1] - z[i - 1]);
  return d[i] - d[i - 1] - t * (d[i + 1] - d[i - 1]);
}

/* The noise of a row about the straight line between its neighbours; by the
 * median, which a few stray rows or a kink do not move. 0.6745 is the normal
 * distribution's upper quartile. */
static double
noise_of (const double *z,
          const double *d,
          gsize         n)
{
  g_autofree double *off = g_new (double, n);
  for (gsize i = 1; i + 1 < n; i++)
    {
      const double t = (z[i] - z[i - 1]) / (z[i + 1] - z[i - 1]);
      off[i - 1] = fabs (off_neighbours (z, d, i)) / sqrt (1.0 + t * t + (1.0 - t) * (1.0 - t));
    }
  qsort (off, n - 2, sizeof (double), compare_doubles);
  return off[(n - 2) / 2] / 0.6745;
}

/* Leaves out single rows that are far off both neighbours, slips of a scanner: they
 * would pull arcs towards themselves. A row beside a stray one is half as far off
 * the other way, so of a run only the farthest goes. A sharp corner loses a row at
 * most. Returns how many rows are left. */
static gsize
drop_strays (double *z,
             double *d,
             gsize   n,
             double  allowed)
{
  g_autofree double *off = g_new0 (double, n);
  for (gsize i = 1; i + 1 < n; i++)
    off[i] = fabs (off_neighbours (z, d, i));

  gsize kept = 1;
  for (gsize i = 1; i < n; i++)
    {
      if (i + 1 < n && off[i] > allowed && off[i] > 1.5 * off[i - 1] && off[i] > 1.5 * off[i + 1])
        continue;
      z[kept] = z[i];
      d[kept++] = d[i];
    }
  return kept;
}

/* Averages of equal groups of rows, as radii. The first and last rows stay as they
 * are, so that the wall keeps its ends. */
static void
gather_points (Points       *points,
               const double *z,
               const double *d,
               gsize         n,
               double        noise,
               double        tolerance)
{
  const gsize group = (n + MOST_POINTS - 1) / MOST_POINTS;
  points->n = 0;
  points->z = g_new (double, n);
  points->r = g_new (double, n);
  points->off = g_new (double, n);
  points->noise = 0.5 * noise / sqrt ((double) group);
  points->tolerance = 0.5 * tolerance;
  for (gsize i = 0; i < n; i += group)
    {
      const gsize end = MIN (i + group, n);
      double sum_z = 0.0, sum_d = 0.0;
      for (gsize k = i; k < end; k++)
        {
          sum_z += z[k];
          sum_d += d[k];
        }
      points->z[points->n] = sum_z / (double) (end - i);
      points->r[points->n++] = 0.5 * sum_d / (double) (end - i);
    }
}

static void
points_clear (Points *points)
{
  g_free (points->z);
  g_free (points->r);
  g_free (points->off);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Points, points_clear)

static RhyWall *
wall_of (const Polyline *chain,
         GError        **error)
{
  RhyWallPiece pieces[RHY_PROFILE_MAX_PIECES] = { 0 };
  for (gsize j = 0; j < chain->pieces; j++)
    {
      const double dz = chain->z[j + 1] - chain->z[j];
      const double b0 = asin (chain->w[j]);
      const double turn = asin (chain->w[j + 1]) - b0;
      const double length = hypot (dz, rise (dz, chain->w[j], chain->w[j + 1])) / rhy_sinc (0.5 * turn);
      pieces[j] = (RhyWallPiece) { .length_mm = length, .slope_rad = b0, .curvature_per_mm = turn / length };
    }
  return rhy_wall_new_pieces (chain->z[0], chain->r0, pieces, chain->pieces, error);
}

/* One straight piece, if it does. */
static RhyWall *
try_straight (const Points *points,
              double        low,
              double        high)
{
  g_autoptr (RhyStations) st = rhy_stations_new (points->n);
  for (gsize i = 0; i < points->n; i++)
    {
      st->h[i] = points->z[i];
      st->d[i] = 2.0 * points->r[i];
      st->u_d[i] = 1.0;
    }
  RhyStraightFit fit;
  if (!rhy_fit_cone (st, &fit))
    return NULL;
  const double w = sin (atan2 (0.5 * (fit.d[1] - fit.d[0]), fit.h[1] - fit.h[0]));
  const Polyline chain = { .pieces = 1,
                           .r0 = 0.5 * rhy_straight_fit_at (&fit, low, NULL),
                           .w = { w, w },
                           .z = { low, high } };
  gsize where;
  return strays (points, &chain, &where) <= 1.0 ? wall_of (&chain, NULL) : NULL;
}

static RhyWall *
fit_points (const Points *points,
            double        low,
            double        high,
            double        d_low,
            double        d_high,
            GError      **error)
{
  RhyWall *straight = try_straight (points, low, high);
  if (straight != NULL)
    return straight;

  const double w = CLAMP (sin (atan2 (0.5 * (d_high - d_low), high - low)), -0.9, 0.9);
  Polyline chain = { .pieces = 1, .r0 = 0.5 * d_low, .w = { w, w }, .z = { low, high } };
  gsize worst = 0;
  improve (points, &chain, ALL_ROUNDS);
  while (strays (points, &chain, &worst) > 1.0)
    if (!refine (points, &chain, worst))
      {
        char buffer[G_ASCII_DTOSTR_BUF_SIZE];
        g_set_error (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                     "no wall of %d pieces or fewer keeps within %s mm of the rows, worst at height %.1f mm: "
                     "look there for stray rows, or allow more", RHY_PROFILE_MAX_PIECES,
                     g_ascii_formatd (buffer, sizeof buffer, "%g", 2.0 * points->tolerance), points->z[worst]);
        return NULL;
      }
  prune (points, &chain);
  return wall_of (&chain, error);
}

static void
report_on (const RhyWall    *wall,
           const double     *z,
           const double     *d,
           gsize             n,
           double            noise,
           RhyProfileReport *report)
{
  *report = (RhyProfileReport) { .n_rows = n, .n_pieces = rhy_wall_get_n_pieces (wall), .noise_mm = noise };
  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      RhyRing ring;
      if (!rhy_wall_at_height (wall, z[i], &ring))
        continue;
      const double off = d[i] - 2.0 * ring.r_mm;
      sum += off * off;
      if (fabs (off) > fabs (report->worst_mm))
        {
          report->worst_mm = off;
          report->worst_height_mm = z[i];
        }
    }
  report->rms_mm = sqrt (sum / (double) n);
}

RhyWall *
rhy_wall_new_profile (const double     *heights_mm,
                      const double     *diameters_mm,
                      gsize             n,
                      double            tolerance_mm,
                      RhyProfileReport *report,
                      GError          **error)
{
  g_return_val_if_fail (heights_mm != NULL && diameters_mm != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!(tolerance_mm > 0.0 && isfinite (tolerance_mm)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "tolerance %g mm: it must be a number above 0", tolerance_mm);
      return NULL;
    }

  g_autofree double *radii = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    radii[i] = 0.5 * diameters_mm[i];
  /* Every demand on heights and diameters is the straight wall's too. */
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (heights_mm, radii, n, error);
  if (wall == NULL)
    return NULL;
  g_clear_pointer (&wall, rhy_wall_unref);

  double noise = 0.0;
  if (n <= 8)
    wall = rhy_wall_new_smooth (heights_mm, radii, n, error);
  else
    {
      noise = noise_of (heights_mm, diameters_mm, n);
      if (noise > 0.05 * diameters_mm[n / 2])
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "neighbouring rows differ by %.1f mm: the file must hold one side, each height once", noise);
          return NULL;
        }
      g_autofree double *z = g_memdup2 (heights_mm, n * sizeof (double));
      g_autofree double *d = g_memdup2 (diameters_mm, n * sizeof (double));
      const gsize kept = drop_strays (z, d, n, STRAY_NOISES * noise + tolerance_mm);
      g_auto (Points) points;
      gather_points (&points, z, d, kept, noise, tolerance_mm);
      wall = fit_points (&points, heights_mm[0], heights_mm[n - 1], diameters_mm[0], diameters_mm[n - 1], error);
    }
  if (wall == NULL)
    return NULL;
  if (report != NULL)
    report_on (wall, heights_mm, diameters_mm, n, noise, report);
  return g_steal_pointer (&wall);
}

RhyWall *
rhy_wall_new_profile_file (const char       *path,
                           double            tolerance_mm,
                           RhyProfileReport *report,
                           GError          **error)
{
  g_return_val_if_fail (path != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  g_autofree double *heights = NULL;
  g_autofree double *diameters = NULL;
  gsize n;
  GError *problem = NULL;
  RhyWall *wall = NULL;
  if (rhy_profile_read (path, &heights, &diameters, &n, &problem))
    wall = rhy_wall_new_profile (heights, diameters, n, tolerance_mm, report, &problem);
  if (problem != NULL && problem->domain == RHY_ERROR)
    g_prefix_error (&problem, "%s: ", path);
  if (problem != NULL)
    g_propagate_error (error, problem);
  return wall;
}
