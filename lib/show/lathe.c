/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "lathe.h"

#include <math.h>

#define CHORD_MM 0.01
/* Bands are at most this part of the wall's height, so that each covers a small
 * range of rows, and what it covers lies near its ends'. */
#define BANDS_LEAST 14

/* The eye stands this many of the vessel's own radii away: a mild perspective,
 * as from across a table. */
#define EYE_REACHES 6.5
/* How much of the picture's smaller side the vessel's ball fills at zoom 1. */
#define FILLS 0.94

/* --- the solid ------------------------------------------------------------ */

static void
add_band (GArray       *bands,
          const RhyWall *wall,
          double        z_middle,
          double        s0,
          double        s1)
{
  const RhyRing low = rhy_wall_at (wall, s0);
  const RhyRing high = rhy_wall_at (wall, s1);
  const double dz = high.z_mm - low.z_mm;
  /* At a join the ring has the upper piece's slope; the end of this band keeps its own. */
  const double end_slope = low.slope_rad + low.curvature_per_mm * (s1 - s0);
  const RhyBand band = {
    .z0 = (float) (low.z_mm - z_middle), .z1 = (float) (high.z_mm - z_middle),
    .r0 = (float) low.r_mm, .taper = (float) ((high.r_mm - low.r_mm) / dz),
    .s0 = (float) s0, .s_per_z = (float) ((s1 - s0) / dz),
    .sin0 = (float) sin (low.slope_rad), .sin_per_z = (float) ((sin (end_slope) - sin (low.slope_rad)) / dz),
    .cos0 = (float) cos (low.slope_rad), .cos_per_z = (float) ((cos (end_slope) - cos (low.slope_rad)) / dz),
    .side = 1.0f,
  };
  if (dz > 0.0)
    g_array_append_val (bands, band);
}

static void
add_outside (GArray        *bands,
             const RhyWall *wall,
             double         z_middle)
{
  const double length = rhy_wall_get_length (wall);
  for (gsize i = 0; i < rhy_wall_get_n_pieces (wall); i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      /* Sagitta of an arc of length h: k h^2/8. */
      const double for_arc = p->length_mm * sqrt (fabs (p->curvature_per_mm) / (8.0 * CHORD_MM));
      const double for_rows = BANDS_LEAST * p->length_mm / length;
      const int n = (int) CLAMP (ceil (MAX (for_arc, for_rows)), 1.0, 200.0);
      for (int k = 0; k < n; k++)
        add_band (bands, wall, z_middle, p->s_mm + p->length_mm * k / n, p->s_mm + p->length_mm * (k + 1) / n);
    }
}

/* The inside follows the outside at a likely thickness, down to a floor: where the
 * blank's own base is, or where it grows too narrow to be hollow (a stem). */
static void
add_inside (GArray   *bands,
            RhyLathe *self,
            float     thickness)
{
  const float narrow = (float) MAX (0.2 * self->r_widest, 1.5);
  const float lowest = self->z_base + 2.0f * thickness;
  int first = self->n_outside;

  for (int i = self->n_outside - 1; i >= 0; i--)
    {
      const RhyBand *b = &g_array_index (bands, RhyBand, i);
      if (b->r0 - thickness < narrow || b->z0 < lowest)
        break;
      first = i;
    }
  self->z_floor = self->z_rim;
  self->r_floor = self->r_mouth;
  for (int i = first; i < self->n_outside; i++)
    {
      RhyBand b = g_array_index (bands, RhyBand, i);
      b.r0 -= thickness;
      b.side = -1.0f;
      if (i == first)
        {
          self->z_floor = b.z0;
          self->r_floor = b.r0;
        }
      g_array_append_val (bands, b);
    }
}

RhyLathe *
rhy_lathe_new (const RhyWall *wall)
{
  RhyLathe *self = g_new0 (RhyLathe, 1);
  GArray *bands = g_array_new (FALSE, FALSE, sizeof (RhyBand));
  const double length = rhy_wall_get_length (wall);
  const RhyRing base = rhy_wall_at (wall, 0.0);
  const RhyRing rim = rhy_wall_at (wall, length);

  self->z_middle = 0.5 * (base.z_mm + rim.z_mm);
  self->r_widest = rhy_wall_widest (wall, 0.0, length).r_mm;
  self->reach = hypot (0.5 * (rim.z_mm - base.z_mm), self->r_widest);
  self->z_base = (float) (base.z_mm - self->z_middle);
  self->z_rim = (float) (rim.z_mm - self->z_middle);
  self->r_base = (float) base.r_mm;
  self->r_rim = (float) rim.r_mm;

  const double thickness = MIN (CLAMP (0.5 + 0.02 * self->r_widest, 0.8, 2.5), 0.3 * rim.r_mm);
  self->r_mouth = (float) (rim.r_mm - thickness);
  add_outside (bands, wall, self->z_middle);
  self->n_outside = (int) bands->len;
  add_inside (bands, self, (float) thickness);
  self->n_bands = (int) bands->len;
  self->bands = (RhyBand *) (void *) g_array_free (bands, FALSE);
  return self;
}

void
rhy_lathe_free (RhyLathe *self)
{
  g_free (self->bands);
  g_free (self);
}

/* --- the eye -------------------------------------------------------------- */

/* Within bounds; what is no number is taken as @otherwise. */
static double
held (double value,
      double least,
      double most,
      double otherwise)
{
  return isnan (value) ? otherwise : CLAMP (value, least, most);
}

RhyEye
rhy_eye_new (const RhyLathe  *self,
             const RhyCamera *camera,
             int              width,
             int              height)
{
  const double zoom = held (camera->zoom, 0.05, 50.0, 1.0);
  const double lift = held (camera->lift_rad, -0.5 * G_PI, 0.5 * G_PI, 0.0);
  const double pan_x = held (camera->pan_x, -100.0, 100.0, 0.0);
  const double pan_y = held (camera->pan_y, -100.0, 100.0, 0.0);
  return (RhyEye) {
    .sin_lift = (float) sin (lift), .cos_lift = (float) cos (lift),
    .dist = (float) (EYE_REACHES * self->reach),
    .per_mm = (float) (zoom * FILLS * MIN (width, height) / (2.0 * self->reach)),
    .centre_x = (float) (width * (0.5 + pan_x)), .centre_y = (float) (height * (0.5 + pan_y)),
  };
}

/* The ray through (a, b): from O = a right + b up, along D = (O - eye)/dist, so
 * that t is near 0 at the vessel and float is enough: single rays start within
 * 1e2 mm of what they meet, not 1e3. right = (1, 0, 0), up = (0, sin, cos),
 * forward = (0, cos, -sin) of the lift. */
RHY_RAYS void
rhy_eye_aim (const RhyEye *self,
             int           n,
             const float  *a,
             const float  *b,
             RhyRays      *rays)
{
  const float inverse = 1.0f / self->dist;
  for (int k = 0; k < n; k++)
    {
      const float ox = a[k];
      const float oy = b[k] * self->sin_lift;
      const float dx = ox * inverse;
      const float dy = oy * inverse + self->cos_lift;
      rays->ox[k] = ox;
      rays->oy[k] = oy;
      rays->oz[k] = b[k] * self->cos_lift;
      rays->dx[k] = dx;
      rays->dy[k] = dy;
      rays->dz[k] = b[k] * self->cos_lift * inverse - self->sin_lift;
      rays->dd[k] = dx * dx + dy * dy;
      rays->od[k] = ox * dx + oy * dy;
      rays->oo[k] = ox * ox + oy * oy;
    }
}

double
rhy_eye_project (const RhyEye *self,
                 double        x,
                 double        y,
                 double        z,
                 double       *px,
                 double       *py)
{
  const double depth = y * self->cos_lift - z * self->sin_lift;
  const double f = self->dist / (self->dist + depth);
  *px = self->centre_x + x * f * self->per_mm;
  *py = self->centre_y - (y * self->sin_lift + z * self->cos_lift) * f * self->per_mm;
  /* The point is eye + (dist + depth) forward-lengths on, O is dist on; D has length 1 along forward. */
  return depth;
}

/* --- tracing -------------------------------------------------------------- */

/* X^2 + Y^2 = (r0 + taper (Z - z0))^2 on O + t D: A t^2 + 2 B t + C = 0. At a root
 * A t + B is the product of D with the outward normal (halved), so the ray goes
 * in at (-B - q)/A whatever A's sign, and out at (-B + q)/A, which is where the
 * inside is seen. Either root has two forms; the one that adds is taken.
 * Source: derived here. */
RHY_RAYS static void
trace_band (const RhyBand *band,
            gint32         index,
            int            n,
            const RhyRays *restrict rays,
            RhyHits       *restrict hits)
{
  const float m = band->taper;
  const float side = band->side;
  const float z0 = band->z0;
  const float z1 = band->z1;

  for (int k = 0; k < n; k++)
    {
      const float mz = m * rays->dz[k];
      const float r = band->r0 + m * (rays->oz[k] - z0);
      const float A = rays->dd[k] - mz * mz;
      const float B = rays->od[k] - mz * r;
      const float C = rays->oo[k] - r * r;
      const float disc = B * B - A * C;
      const float q = side * sqrtf (disc > 0.0f ? disc : 0.0f);
      const gboolean adds = B * side > 0.0f;
      const float top = adds ? -(B + q) : C;
      const float bottom = adds ? A : q - B;
      const float t = top / bottom;
      const float z = rays->oz[k] + t * rays->dz[k];
      /* NaN (0/0) fails every comparison. */
      const gboolean met = (disc >= 0.0f) & (z >= z0) & (z < z1) & (r + mz * t > 0.0f) & (t < hits->t[k]);
      hits->t[k] = met ? t : hits->t[k];
      hits->met[k] = met ? index : hits->met[k];
    }
}

RHY_RAYS static void
trace_disc (float          z,
            float          r_from,
            float          r_to,
            gint32         index,
            float          facing,      /* 1 seen from above, -1 from below */
            int            n,
            const RhyRays *restrict rays,
            RhyHits       *restrict hits)
{
  const float low = r_from * r_from;
  const float high = r_to * r_to;
  for (int k = 0; k < n; k++)
    {
      const float t = (z - rays->oz[k]) / rays->dz[k];
      const float rr = rays->oo[k] + t * (2.0f * rays->od[k] + t * rays->dd[k]);
      const gboolean met = (rays->dz[k] * facing < 0.0f) & (rr >= low) & (rr <= high) & (t < hits->t[k]);
      hits->t[k] = met ? t : hits->t[k];
      hits->met[k] = met ? index : hits->met[k];
    }
}

void
rhy_lathe_trace (const RhyLathe *self,
                 const RhyEye   *eye,
                 const guint16  *list,
                 int             n_list,
                 int             n,
                 const RhyRays  *rays,
                 RhyHits        *hits)
{
  for (int k = 0; k < n; k++)
    {
      hits->t[k] = 1e30f;
      hits->met[k] = RHY_MET_NOTHING;
    }
  if (list == NULL)
    n_list = self->n_bands;
  for (int i = 0; i < n_list; i++)
    {
      const int index = list != NULL ? list[i] : i;
      trace_band (&self->bands[index], index, n, rays, hits);
    }
  /* Perspective shows a disc from either side near its own level: one test for
   * all three is cheaper than finding out. */
  if (eye->sin_lift > -0.3f)
    {
      trace_disc (self->z_rim, self->r_mouth, self->r_rim, RHY_MET_RIM, 1.0f, n, rays, hits);
      trace_disc (self->z_floor, 0.0f, self->r_floor, RHY_MET_FLOOR, 1.0f, n, rays, hits);
    }
  if (eye->sin_lift < 0.3f)
    trace_disc (self->z_base, 0.0f, self->r_base, RHY_MET_BASE, -1.0f, n, rays, hits);
}

/* --- rows ----------------------------------------------------------------- */

/* Where the plane of one column of pixels cuts one ring: side 0 nearer, side 1
 * farther; where it misses, the point of its line that comes nearest. */
typedef struct
{
  float x[2][RHY_LANES], y[2][RHY_LANES], row[2][RHY_LANES];
  float foot_row[RHY_LANES];
  float meets[RHY_LANES];
  float z;
} Cut;

/* The plane holds the eye and the column's line X = a at the middle: X = kappa
 * (dist + Y cos - Z sin), kappa = a/dist; at a ring's height a line X = c + k Y. */
RHY_RAYS static void
cut_ring (const RhyEye *eye,
          int           n,
          const float  *restrict a,
          float         z,
          float         r,
          Cut          *restrict cut)
{
  cut->z = z;
  for (int i = 0; i < n; i++)
    {
      const float kappa = a[i] / eye->dist;
      const float c = kappa * (eye->dist - z * eye->sin_lift);
      const float k = kappa * eye->cos_lift;
      const float kk = 1.0f / (1.0f + k * k);
      const float disc = r * r * (1.0f + k * k) - c * c;
      const float h = sqrtf (disc > 0.0f ? disc : 0.0f) * kk;
      const float foot = -c * k * kk;
      cut->meets[i] = disc > 0.0f ? 1.0f : 0.0f;
      for (int side = 0; side < 2; side++)
        {
          const float y = side == 0 ? foot - h : foot + h;
          const float depth = eye->dist + y * eye->cos_lift - z * eye->sin_lift;
          cut->y[side][i] = y;
          cut->x[side][i] = c + k * y;
          cut->row[side][i] = eye->centre_y
                              - (y * eye->sin_lift + z * eye->cos_lift) * eye->per_mm * eye->dist / depth;
        }
      const float depth = eye->dist + foot * eye->cos_lift - z * eye->sin_lift;
      cut->foot_row[i] = eye->centre_y
                         - (foot * eye->sin_lift + z * eye->cos_lift) * eye->per_mm * eye->dist / depth;
    }
}

/* Whether the band turns its seen face to the eye there, with some to spare. */
static gboolean
faces (const RhyBand *band,
       const RhyEye  *eye,
       const Cut     *cut,
       int            side,
       int            lane)
{
  const float x = cut->x[side][lane];
  const float y = cut->y[side][lane];
  const float r = hypotf (x, y);
  const float out = x * x + y * (y + eye->dist * eye->cos_lift)
                    - band->taper * r * (cut->z - eye->dist * eye->sin_lift);
  return out * band->side < 0.03f * r * eye->dist * (1.0f + fabsf (band->taper));
}

typedef struct { guint16 band; int from, to; } Span;

static void
add_span (const RhyBand *band,
          guint16        index,
          const RhyEye  *eye,
          int            n,
          const Cut     *low,
          const Cut     *high,
          int            height,
          GArray        *spans)
{
  float from[2] = { 1e30f, 1e30f };
  float to[2] = { -1e30f, -1e30f };

  for (int side = 0; side < 2; side++)
    for (int i = 0; i < n; i++)
      {
        const float meets = low->meets[i] + high->meets[i];
        if (meets == 0.0f || (meets == 2.0f && !faces (band, eye, low, side, i) && !faces (band, eye, high, side, i)))
          continue;
        float lo = MIN (low->row[side][i], high->row[side][i]);
        float hi = MAX (low->row[side][i], high->row[side][i]);
        if (meets == 1.0f)
          {
            lo = MIN (lo, MIN (low->foot_row[i], high->foot_row[i]));
            hi = MAX (hi, MAX (low->foot_row[i], high->foot_row[i]));
          }
        from[side] = MIN (from[side], lo);
        to[side] = MAX (to[side], hi);
      }
  if (from[0] <= to[1] + 4.0f && from[1] <= to[0] + 4.0f)
    {
      from[0] = MIN (from[0], from[1]);
      to[0] = MAX (to[0], to[1]);
      from[1] = 1e30f;
      to[1] = -1e30f;
    }
  for (int side = 0; side < 2; side++)
    if (to[side] >= from[side])
      {
        /* Row y holds its middle at y + 1/2; a pixel and a half to spare serves the
         * samples inside pixels, and what bulges between a band's ends. */
        const Span span = { index, (int) CLAMP (floorf (from[side] - 2.0f), 0.0f, (float) height),
                            (int) CLAMP (ceilf (to[side] + 1.0f) + 1.0f, 0.0f, (float) height) };
        if (span.from < span.to)
          g_array_append_val (spans, span);
      }
}

/* Discs have no list; the rows that they may be in must still be known. */
static void
widen_for_ring (const Cut *cut,
                int        n,
                int        height,
                RhyRows   *rows)
{
  for (int side = 0; side < 2; side++)
    for (int i = 0; i < n; i++)
      if (cut->meets[i] > 0.0f)
        {
          rows->top = MIN (rows->top, (int) CLAMP (floorf (cut->row[side][i] - 2.0f), 0.0f, (float) height));
          rows->bottom = MAX (rows->bottom, (int) CLAMP (ceilf (cut->row[side][i] + 2.0f), 0.0f, (float) height));
        }
}

void
rhy_lathe_list_rows (const RhyLathe *self,
                     const RhyEye   *eye,
                     int             n,
                     const float    *a,
                     int             height,
                     RhyRows        *rows)
{
  g_autoptr (GArray) spans = g_array_new (FALSE, FALSE, sizeof (Span));
  Cut cuts[2];
  rows->top = height;
  rows->bottom = 0;

  for (int i = 0; i < self->n_bands; i++)
    {
      const RhyBand *b = &self->bands[i];
      const gboolean joined = i > 0 && self->bands[i - 1].side == b->side;
      Cut *low = &cuts[i % 2];
      Cut *high = &cuts[(i + 1) % 2];
      if (!joined)
        cut_ring (eye, n, a, b->z0, b->r0, low);
      cut_ring (eye, n, a, b->z1, b->r0 + b->taper * (b->z1 - b->z0), high);
      if (!joined)
        widen_for_ring (low, n, height, rows);
      if (i == self->n_outside - 1)
        widen_for_ring (high, n, height, rows);
      add_span (b, (guint16) i, eye, n, low, high, height, spans);
    }

  rows->start = g_new0 (guint32, height + 1);
  for (guint i = 0; i < spans->len; i++)
    {
      const Span *span = &g_array_index (spans, Span, i);
      rows->top = MIN (rows->top, span->from);
      rows->bottom = MAX (rows->bottom, span->to);
      for (int y = span->from; y < span->to; y++)
        rows->start[y + 1]++;
    }
  for (int y = 0; y < height; y++)
    rows->start[y + 1] += rows->start[y];
  rows->items = g_new (guint16, rows->start[height] + 1);
  g_autofree guint32 *next = g_memdup2 (rows->start, sizeof (guint32) * (gsize) (height + 1));
  for (guint i = 0; i < spans->len; i++)
    {
      const Span *span = &g_array_index (spans, Span, i);
      for (int y = span->from; y < span->to; y++)
        rows->items[next[y]++] = span->band;
    }
}

void
rhy_rows_clear (RhyRows *rows)
{
  g_clear_pointer (&rows->start, g_free);
  g_clear_pointer (&rows->items, g_free);
}
