/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/photo-profile.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cholesky.h"
#include "photo-case.h"

/* A wall is carried on to its ends where its diameter changes by no more on the way. */
static const double MOST_BEYOND_MM = 0.5;

/* ---- the result ---- */

typedef struct
{
  gsize   n;
  double *z, *d, *u2;
} Stations;

/* The heights at which either side has a row; the ends themselves. */
static gsize
list_heights (const RhyPhotoCase *self,
              const double       *x,
              double             *z)
{
  const RhyPhotoSide *left = &self->side[0], *right = &self->side[1];
  const double least = 1e-3 * x[RHY_PHOTO_HEIGHT] / (double) self->outline->n_rows + 1e-6;
  gsize n = 0, i = 0, k = 0;
  z[n++] = 0.0;
  while (i < left->n || k < right->n)
    {
      /* A row has a left and a right at nearly one height: the left one's. */
      const gsize row_left = i < left->n ? left->row[i] : G_MAXSIZE;
      const gsize row_right = k < right->n ? right->row[k] : G_MAXSIZE;
      const double here = row_left <= row_right ? left->z[i] : right->z[k];
      const gsize row = MIN (row_left, row_right);
      i += row_left == row;
      k += row_right == row;
      if (here > z[n - 1] + least && here < x[RHY_PHOTO_HEIGHT] - least)
        z[n++] = here;
    }
  z[n++] = x[RHY_PHOTO_HEIGHT];
  return n;
}

static gboolean
station_diameter (const RhyPhotoCase *self,
                  double              z,
                  double             *d,
                  gboolean           *both)
{
  return rhy_photo_case_diameter_at (self, z, d, both) || (*both = TRUE, rhy_photo_case_diameter_beyond (self, z, d));
}

/* The camera moved by each column of its covariance's factor, one after the other: half
 * the difference is that share of the uncertainty (JCGM 100:2008, 5.1.3 note 2). The base and
 * rim stay the wall's ends. */
static void
add_camera_uncertainty (RhyPhotoCase    *self,
                        const double    *x,
                        RhyPhotoProfile *out)
{
  double normal[RHY_PHOTO_N_UNKNOWNS * RHY_PHOTO_N_UNKNOWNS], gradient[RHY_PHOTO_N_UNKNOWNS];
  rhy_photo_case_normal_equations (self, x, normal, gradient);
  g_return_if_fail (rhy_cholesky_factor (normal, RHY_PHOTO_N_UNKNOWNS));

  double u2_distance = 0.0, u2_eye = 0.0, u2_tilt = 0.0;
  g_autofree double *high = g_new (double, out->n);
  for (gsize j = 0; j < RHY_PHOTO_N_UNKNOWNS; j++)
    {
      /* With N = L L^T the covariance is L^-T L^-1: its factor's columns are L^-T e_j. */
      double column[RHY_PHOTO_N_UNKNOWNS] = { 0 };
      column[j] = 1.0;
      for (gsize i = RHY_PHOTO_N_UNKNOWNS; i-- > 0;)
        {
          for (gsize k = i + 1; k < RHY_PHOTO_N_UNKNOWNS; k++)
            column[i] -= normal[k * RHY_PHOTO_N_UNKNOWNS + i] * column[k];
          column[i] /= normal[i * RHY_PHOTO_N_UNKNOWNS + i];
        }
      double moved[RHY_PHOTO_N_UNKNOWNS];
      for (gsize i = 0; i < RHY_PHOTO_N_UNKNOWNS; i++)
        moved[i] = x[i] + column[i];
      rhy_photo_case_trace (self, moved);
      for (gsize i = 0; i < out->n; i++)
        {
          gboolean both;
          if (!station_diameter (self, out->heights_mm[i], &high[i], &both))
            high[i] = out->diameters_mm[i];
        }
      for (gsize i = 0; i < RHY_PHOTO_N_UNKNOWNS; i++)
        moved[i] = x[i] - column[i];
      rhy_photo_case_trace (self, moved);
      for (gsize i = 0; i < out->n; i++)
        {
          double low;
          gboolean both;
          if (!station_diameter (self, out->heights_mm[i], &low, &both))
            low = out->diameters_mm[i];
          const double share = 0.5 * (high[i] - low);
          out->u_mm[i] += share * share;
        }
      u2_distance += column[RHY_PHOTO_LN_DISTANCE] * column[RHY_PHOTO_LN_DISTANCE];
      u2_eye += column[RHY_PHOTO_EYE_HEIGHT] * column[RHY_PHOTO_EYE_HEIGHT];
      const double tilt = rhy_photo_case_tilt (self, moved) - rhy_photo_case_tilt (self, x);
      u2_tilt += tilt * tilt;
    }
  out->u_distance_mm = rhy_photo_distance (x) * sqrt (u2_distance);
  out->u_eye_height_mm = sqrt (u2_eye);
  out->u_tilt_rad = sqrt (u2_tilt);
  rhy_photo_case_trace (self, x);
}

/* The second camera's profile, as likely beside the first as exp (-difference/2). */
static void
add_other_camera (RhyPhotoCase    *self,
                  const double    *x,
                  RhyPhotoProfile *out)
{
  double other[RHY_PHOTO_N_UNKNOWNS];
  memcpy (other, self->other, sizeof other);
  if (!self->has_other || !rhy_photo_case_find_camera (self, other, RHY_PHOTO_ROUNDS))
    return;
  const double odds = exp (-0.5 * MAX (rhy_photo_case_unlikeliness (self, other) - rhy_photo_case_unlikeliness (self, x), 0.0));
  const double weight = odds / (1.0 + odds);
  rhy_photo_case_trace (self, other);
  for (gsize i = 0; i < out->n; i++)
    {
      double d;
      gboolean both;
      if (!station_diameter (self, out->heights_mm[i], &d, &both))
        continue;
      out->u_mm[i] += weight * (d - out->diameters_mm[i]) * (d - out->diameters_mm[i]);
    }
  const double farther = rhy_photo_distance (other) - rhy_photo_distance (x);
  const double higher = other[RHY_PHOTO_EYE_HEIGHT] - x[RHY_PHOTO_EYE_HEIGHT];
  const double steeper = rhy_photo_case_tilt (self, other) - rhy_photo_case_tilt (self, x);
  out->u_distance_mm = sqrt (out->u_distance_mm * out->u_distance_mm + weight * farther * farther);
  out->u_eye_height_mm = sqrt (out->u_eye_height_mm * out->u_eye_height_mm + weight * higher * higher);
  out->u_tilt_rad = sqrt (out->u_tilt_rad * out->u_tilt_rad + weight * steeper * steeper);
  rhy_photo_case_trace (self, x);
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  const double x = *(const double *) a, y = *(const double *) b;
  return (x > y) - (x < y);
}

static void
find_asymmetry (const RhyPhotoCase *self,
                RhyPhotoProfile    *out)
{
  enum { ROWS = 9 };
  const RhyPhotoSide *left = &self->side[0];
  double sum = 0.0, run[ROWS] = { 0 }, mean = 0.0;
  gsize n = 0;
  for (gsize i = 0; i < left->n; i++)
    {
      double r;
      if (!rhy_photo_side_at (&self->side[1], left->z[i], &r))
        continue;
      const double off = left->r[i] - r;
      sum += off * off;
      mean += (off - run[n % ROWS]) / ROWS;
      run[n++ % ROWS] = off;
      if (n >= ROWS && fabs (mean) > fabs (out->worst_asymmetry_mm))
        {
          out->worst_asymmetry_mm = mean;
          out->worst_asymmetry_height_mm = left->z[i - MIN (i, ROWS / 2)];
        }
    }
  out->asymmetry_mm = n > 0 ? sqrt (sum / (double) n) : 0.0;
}

/* Three standard uncertainties beside its own reading: one in 370 good ones. */
static const double DOUBT = 3.0;

static void
find_doubt (RhyPhotoCase    *self,
            const double    *x,
            RhyPhotoProfile *out)
{
  const RhyPhotoKnown *known = self->known;
  RhyPhotoResiduals residuals;
  rhy_photo_case_residuals (self, x, &residuals);
  double most = DOUBT;
  for (gsize k = 0; k < known->n_diameters; k++)
    {
      const double off = residuals.r[residuals.diameter[k]];
      if (!(fabs (off) > most))
        continue;
      most = fabs (off);
      g_free (out->doubt);
      const double noise = self->outline->noise_px * rhy_photo_pixel_mm (x);
      const double u = hypot (rhy_photo_u_or (known->diameters[k].u_mm, RHY_CALIPER_U_MM), noise);
      out->doubt = g_strdup_printf ("The measured diameter %.2f mm does not go with the picture: the rest gives %.2f mm there. "
                                    "Measure it again, and look whether its height is right.",
                                    known->diameters[k].diameter_mm, known->diameters[k].diameter_mm + off * u);
    }
  if (fabs (residuals.r[residuals.height]) > most)
    {
      most = fabs (residuals.r[residuals.height]);
      g_free (out->doubt);
      out->doubt = g_strdup_printf ("The measured height %.1f mm does not go with the picture: the rest gives %.1f mm. "
                                    "Measure it again, and look whether the marks stand at its ends.",
                                    known->height_mm, x[RHY_PHOTO_HEIGHT]);
    }
  if (known->distance_mm > 0.0 && fabs (residuals.r[residuals.distance]) > most)
    {
      g_free (out->doubt);
      out->doubt = g_strdup_printf ("The measured distance of the camera, %.0f mm, does not go with the picture: the rest gives "
                                    "%.0f mm, from the lens to the vessel's axis.",
                                    known->distance_mm, rhy_photo_distance (x));
    }
}

static void
list_wall_pixels (const RhyPhotoCase *self,
                  RhyPhotoProfile    *out)
{
  const RhyOutline *o = self->outline;
  out->wall_px = g_new (RhyPoint, 2 * o->n_rows);
  for (int s = 0; s < 2; s++)
    for (gsize i = 0; i < o->n_rows; i++)
      if (self->use[s][i])
        out->wall_px[out->n_walls++] = o->side[s][i];
}

static RhyPhotoProfile *
make_profile (RhyPhotoCase *self,
              const double *x)
{
  const RhyOutline *o = self->outline;
  RhyPhotoProfile *out = g_new0 (RhyPhotoProfile, 1);
  rhy_photo_case_trace (self, x);
  out->heights_mm = g_new (double, 2 * o->n_rows + 2);
  const gsize listed = list_heights (self, x, out->heights_mm);
  out->diameters_mm = g_new (double, listed);
  out->u_mm = g_new0 (double, listed);
  g_autofree gboolean *both = g_new (gboolean, listed);
  gsize one_sided = 0;
  for (gsize i = 0; i < listed; i++)
    {
      double d, near;
      gboolean two, ignored;
      if (!station_diameter (self, out->heights_mm[i], &d, &two) || !(d > 0.0))
        continue;
      /* An end that the rows do not reach, and where the wall turns in steeply, is left out. */
      const gboolean is_end = i == 0 || i + 1 == listed;
      if (is_end
          && (!rhy_photo_case_diameter_at (self, out->heights_mm[i == 0 ? 1 : i - 1], &near, &ignored)
              || fabs (d - near) > MOST_BEYOND_MM))
        continue;
      out->heights_mm[out->n] = out->heights_mm[i];
      out->diameters_mm[out->n] = d;
      both[out->n++] = two;
      one_sided += !two;
    }

  add_camera_uncertainty (self, x, out);
  add_other_camera (self, x, out);
  out->pixel_mm = rhy_photo_pixel_mm (x);
  out->noise_mm = G_SQRT2 * o->noise_px * out->pixel_mm;
  for (gsize i = 0; i < out->n; i++)
    {
      const double slope = 0.5 * rhy_photo_slope_near (out->heights_mm, out->diameters_mm, out->n, i, 3);
      const double noise = out->noise_mm * (both[i] ? 1.0 : G_SQRT2) * hypot (1.0, slope);
      /* Carried on beyond the rows, a wall may go on otherwise. */
      const gsize near = i == 0 ? 1 : i + 1 == out->n ? i - 1 : i;
      const double beyond = near != i ? out->diameters_mm[i] - out->diameters_mm[near] : 0.0;
      out->u_mm[i] = sqrt (out->u_mm[i] + noise * noise + beyond * beyond);
      if (out->u_mm[i] > out->worst_u_mm)
        {
          out->worst_u_mm = out->u_mm[i];
          out->worst_u_height_mm = out->heights_mm[i];
        }
    }
  g_autofree double *sorted = g_memdup2 (out->u_mm, out->n * sizeof (double));
  qsort (sorted, out->n, sizeof (double), compare_doubles);
  out->typical_u_mm = sorted[out->n / 2];

  out->distance_mm = rhy_photo_distance (x);
  out->eye_height_mm = x[RHY_PHOTO_EYE_HEIGHT];
  out->tilt_rad = rhy_photo_case_tilt (self, x);
  out->focal_px = rhy_photo_focal (x);
  out->blur_px = o->blur_px;
  out->one_sided = (double) one_sided / (double) out->n;
  out->end_found[0] = self->use_end[0];
  out->end_found[1] = self->use_end[1];
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  for (int e = 0; e < 2; e++)
    {
      const double above_eye = (e == 0 ? 0.0 : x[RHY_PHOTO_HEIGHT]) - x[RHY_PHOTO_EYE_HEIGHT];
      out->axis[e] = rhy_photo_case_point (self, x, &frame, 0.0, above_eye / out->distance_mm);
    }
  find_asymmetry (self, out);
  find_doubt (self, x, out);
  list_wall_pixels (self, out);
  return out;
}

static gboolean
is_length (double mm)
{
  return mm > 0.0 && mm <= 1e4;
}

static gboolean
check_known (const RhyPhotoKnown *known,
             GError             **error)
{
  if (!is_length (known->height_mm) || !(known->u_height_mm >= 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "height %g mm between base and rim: wanted more than 0 up to 10000 mm", known->height_mm);
      return FALSE;
    }
  if (known->n_diameters > RHY_PHOTO_MAX_DIAMETERS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "%" G_GSIZE_FORMAT " measured diameters: at most %d",
                   known->n_diameters, RHY_PHOTO_MAX_DIAMETERS);
      return FALSE;
    }
  for (gsize i = 0; i < known->n_diameters; i++)
    {
      const RhyPhotoDiameter *m = &known->diameters[i];
      if (!is_length (m->diameter_mm) || !(m->u_mm >= 0.0))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "measured diameter %g mm: wanted more than 0 up to 10000 mm", m->diameter_mm);
          return FALSE;
        }
      if (!isnan (m->height_mm) && !(m->height_mm >= 0.0 && m->height_mm <= known->height_mm))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "measured diameter at height %g mm: wanted from 0 to %g mm, the height between base and rim",
                       m->height_mm, known->height_mm);
          return FALSE;
        }
    }
  if (!(known->distance_mm == 0.0 || (known->distance_mm >= 50.0 && known->distance_mm <= 1e5)) || !(known->u_distance_mm >= 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "camera distance %g mm: wanted from 50 to 100000 mm, from the lens to the vessel's axis", known->distance_mm);
      return FALSE;
    }
  return TRUE;
}

RhyPhotoProfile *
rhy_photo_profile_new (const RhyOutline    *outline,
                       const RhyPhotoKnown *known,
                       GError             **error)
{
  g_return_val_if_fail (outline != NULL && known != NULL, NULL);
  g_return_val_if_fail (outline->n_end[0] <= 256 && outline->n_end[1] <= 256, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!check_known (known, error))
    return NULL;
  g_auto (RhyPhotoCase) self;
  rhy_photo_case_init (&self, outline, known);
  double x[RHY_PHOTO_N_UNKNOWNS];
  return rhy_photo_case_fit (&self, x, error) ? make_profile (&self, x) : NULL;
}

void
rhy_photo_profile_free (RhyPhotoProfile *self)
{
  if (self == NULL)
    return;
  g_free (self->heights_mm);
  g_free (self->diameters_mm);
  g_free (self->u_mm);
  g_free (self->wall_px);
  g_free (self->doubt);
  g_free (self);
}

void
rhy_outline_free (RhyOutline *outline)
{
  if (outline == NULL)
    return;
  for (int s = 0; s < 2; s++)
    {
      g_free (outline->side[s]);
      g_free (outline->end[s]);
    }
  g_free (outline);
}

/* ---- words ---- */

static const char *
fixed (char       *text,
       const char *format,
       double      value)
{
  return g_ascii_formatd (text, G_ASCII_DTOSTR_BUF_SIZE, format, value);
}

char *
rhy_photo_profile_describe (const RhyPhotoProfile *self)
{
  char a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE], c[G_ASCII_DTOSTR_BUF_SIZE];
  GString *text = g_string_new (NULL);
  g_string_append_printf (text, "Diameters: standard uncertainty %s mm typically, %s mm at worst, at height %s mm\n",
                          fixed (a, "%.2f", self->typical_u_mm), fixed (b, "%.2f", self->worst_u_mm),
                          fixed (c, "%.1f", self->worst_u_height_mm));
  g_string_append_printf (text, "Camera: %s mm from the axis (standard uncertainty %s mm), ",
                          fixed (a, "%.0f", self->distance_mm), fixed (b, "%.0f", self->u_distance_mm));
  g_string_append_printf (text, "%s mm above the base (%s mm), looking down by %s degrees",
                          fixed (a, "%.0f", self->eye_height_mm), fixed (b, "%.0f", self->u_eye_height_mm),
                          fixed (c, "%.1f", round (self->tilt_rad * 1800.0 / G_PI) / 10.0 + 0.0));
  g_string_append_printf (text, " (%s)\n", fixed (a, "%.1f", self->u_tilt_rad * 180.0 / G_PI));
  g_string_append_printf (text, "Picture: a pixel is %s mm at the axis, edges blurred by %s pixels, rows scatter by %s mm\n",
                          fixed (a, "%.3f", self->pixel_mm), fixed (b, "%.1f", self->blur_px),
                          fixed (c, "%.2f", self->noise_mm));
  g_string_append_printf (text, "Left against right: %s mm in radius, at most %s mm, at height %s mm\n",
                          fixed (a, "%.2f", self->asymmetry_mm), fixed (b, "%+.2f", self->worst_asymmetry_mm),
                          fixed (c, "%.1f", self->worst_asymmetry_height_mm));
  if (self->one_sided >= 0.005)
    g_string_append_printf (text, "One side alone tells %s %% of the height\n", fixed (a, "%.0f", 100.0 * self->one_sided));
  if (!self->end_found[0] || !self->end_found[1])
    g_string_append_printf (text, "%s: no clean edge across the axis; taken where the mark stands\n",
                            self->end_found[1] ? "Base" : self->end_found[0] ? "Rim" : "Base and rim");
  if (self->doubt != NULL)
    g_string_append_printf (text, "%s\n", self->doubt);
  return g_string_free (text, FALSE);
}

char *
rhy_photo_profile_to_text (const RhyPhotoProfile *self,
                           const char            *source)
{
  char a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE];
  GString *text = g_string_new ("# Rhyton profile from a photograph. Height above the base, outside diameter, mm.\n");
  if (source != NULL)
    {
      g_autofree char *shown = g_strdelimit (g_utf8_make_valid (source, -1), "\r\n", ' ');
      g_string_append_printf (text, "# Picture: %s\n", shown);
    }
  g_autofree char *words = rhy_photo_profile_describe (self);
  g_auto (GStrv) lines = g_strsplit (words, "\n", -1);
  for (gsize i = 0; lines[i] != NULL; i++)
    if (*lines[i] != '\0')
      g_string_append_printf (text, "# %s\n", lines[i]);
  g_string_append (text, "height,diameter\n");
  for (gsize i = 0; i < self->n; i++)
    g_string_append_printf (text, "%s,%s\n", fixed (a, "%.4f", self->heights_mm[i]), fixed (b, "%.4f", self->diameters_mm[i]));
  return g_string_free (text, FALSE);
}
