/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "skin.h"

#include <math.h>

#include "texture.h"

/* Edges are followed in steps of this, and artwork is cut into chords that short:
 * on paper the chord of 0.5 mm of a 20 mm circle is 0.002 mm off. */
#define STEP_MM 0.5
/* A change of slope within less than a hair is an edge: paper creases there. */
#define EDGE_RAD 0.02
/* More pieces than this nobody cuts out. */
#define MOST_PATCHES 64

/* --- the development ------------------------------------------------------ */

static inline double
sinc (double x)
{
  return fabs (x) < 1e-4 ? 1.0 - x * x / 6.0 : sin (x) / x;
}

/* A gore's parallel of radius r and slope b is an arc of radius r/sin b about a
 * point on the gore's middle line: at the angle a from the middle it has turned
 * by t = a sin b, so
 *
 *   x = r a sinc (t),   y = s - r a sin (t/2) sinc (t/2),
 *
 * which run through sin b = 0. Source: the polyconic projection (J. P. Snyder, Map
 * Projections: A Working Manual, USGS PP 1395, section 18) with a wall's own
 * parallels in place of a globe's; the form is derived here. */
static RhyPoint
gore_point (const RhyWall *wall,
            double         s,
            double         a)
{
  const RhyRing ring = rhy_wall_at (wall, s);
  const double t = a * sin (ring.slope_rad);
  return (RhyPoint) { ring.r_mm * a * sinc (t), s - ring.r_mm * a * sin (0.5 * t) * sinc (0.5 * t) };
}

RhyPoint
rhy_patch_point (const RhyPatch *self,
                 const RhyWall  *wall,
                 double          s,
                 double          angle)
{
  RhyPoint p = { 0.0, 0.0 };
  if (self->unroll != NULL)
    rhy_map_point (self->unroll, (RhyPoint) { s, angle - self->turn }, &p);
  else
    p = gore_point (wall, s, angle - self->turn);
  return (RhyPoint) { p.x + self->dx, self->dy - p.y };
}

double
rhy_patch_heading (const RhyPatch *self,
                   const RhyWall  *wall,
                   double          s,
                   double          angle)
{
  const double h = 1e-4;
  const RhyPoint a = rhy_patch_point (self, wall, s, angle - h);
  const RhyPoint b = rhy_patch_point (self, wall, s, angle + h);
  return atan2 (b.y - a.y, b.x - a.x);
}

/* The paper's greatest departure from the wall: singular values of the development
 * in the wall's own mm, by differences, over a grid of half the patch (the other is
 * its mirror image). */
static double
patch_stretch (const RhyPatch *self,
               const RhyWall  *wall)
{
  const int rows = 60;
  const int columns = self->unroll != NULL ? 0 : 6;
  const double h = 1e-4;
  double worst = 0.0;

  for (int i = 0; i <= rows; i++)
    for (int k = 0; k <= columns; k++)
      {
        /* Steps stay inside: past a join the slope is another piece's. */
        const double s = CLAMP (self->s0 + (self->s1 - self->s0) * i / rows, self->s0 + 2 * h, self->s1 - 2 * h);
        const double middle = 0.5 * (self->a0 + self->a1);
        const double a = columns == 0 ? middle : middle + (self->a1 - middle) * k / columns;
        const double r = rhy_wall_at (wall, s).r_mm;
        const RhyPoint s0 = rhy_patch_point (self, wall, s - h, a);
        const RhyPoint s1 = rhy_patch_point (self, wall, s + h, a);
        const RhyPoint a0 = rhy_patch_point (self, wall, s, a - h / r);
        const RhyPoint a1 = rhy_patch_point (self, wall, s, a + h / r);
        const double xs = (s1.x - s0.x) / (2 * h), ys = (s1.y - s0.y) / (2 * h);
        const double xa = (a1.x - a0.x) / (2 * h), ya = (a1.y - a0.y) / (2 * h);
        const double half = 0.5 * (xs * xs + ys * ys + xa * xa + ya * ya);
        const double det = xs * ya - xa * ys;
        const double root = sqrt (MAX (half * half - det * det, 0.0));
        const double major = sqrt (half + root) - 1.0;
        const double minor = sqrt (MAX (half - root, 0.0)) - 1.0;
        if (fabs (major) > fabs (worst))
          worst = major;
        if (fabs (minor) > fabs (worst))
          worst = minor;
      }
  return worst;
}

/* --- rings ---------------------------------------------------------------- */

static void
clear_patch (RhyPatch *patch)
{
  g_clear_pointer (&patch->unroll, rhy_map_unref);
}

static gboolean
make_ring (RhyWall  *wall,
           double    s0,
           double    s1,
           double    middle,
           RhyPatch *patch)
{
  enum { N = 41 };
  double s[N];
  for (int i = 0; i < N; i++)
    s[i] = s0 + (s1 - s0) * i / (N - 1);
  const RhyConic conic = rhy_conic_fit (wall, s, N, 0.5 * (s0 + s1));
  *patch = (RhyPatch) { .s0 = s0, .s1 = s1, .a0 = middle - G_PI, .a1 = middle + G_PI, .turn = middle };
  patch->unroll = rhy_unroll_new_band (wall, &conic, s0, s1, NULL);
  return patch->unroll != NULL;
}

/* The highest end that a ring from @s0 may have, not past @end. */
static double
ring_end (RhyWall *wall,
          double   s0,
          double   end,
          double   limit)
{
  double low = s0;
  double high = end;
  for (int i = 0; i < 30; i++)
    {
      const double s1 = i == 0 ? end : 0.5 * (low + high);
      RhyPatch patch;
      const gboolean fits = make_ring (wall, s0, s1, 0.0, &patch) && fabs (patch_stretch (&patch, wall)) <= limit;
      clear_patch (&patch);
      if (fits && i == 0)
        return end;
      if (fits)
        low = s1;
      else
        high = s1;
      if (high - low < 1e-3)
        break;
    }
  /* Not even a hair's breadth fits at a limit that small: go on all the same. */
  return MAX (low, s0 + (end - s0) / MOST_PATCHES);
}

static guint
cut_span (RhyWall *wall,
          double   s0,
          double   s1,
          double   limit,
          GArray  *cuts)        /* nullable */
{
  guint n = 0;
  while (s0 < s1 - 1e-6 && n < 2 * MOST_PATCHES)
    {
      s0 = ring_end (wall, s0, s1, limit);
      if (cuts != NULL)
        g_array_append_val (cuts, s0);
      n++;
    }
  return n;
}

/* As few rings as the limit allows, and then as even as that number allows: the
 * smallest limit that needs no more of them. */
static void
cut_evenly (RhyWall *wall,
            double   s0,
            double   s1,
            double   limit,
            GArray  *cuts)
{
  const guint n = cut_span (wall, s0, s1, limit, NULL);
  double low = 0.0;
  double high = limit;
  for (int i = 0; i < 12 && n > 1; i++)
    {
      const double middle = 0.5 * (low + high);
      if (cut_span (wall, s0, s1, middle, NULL) <= n)
        high = middle;
      else
        low = middle;
    }
  cut_span (wall, s0, s1, high, cuts);
}

/* Slants where the wall has an edge, and its end. */
static GArray *
edges_of (const RhyWall *wall)
{
  GArray *edges = g_array_new (FALSE, FALSE, sizeof (double));
  for (gsize i = 1; i < rhy_wall_get_n_pieces (wall); i++)
    {
      const RhyWallPiece *below = rhy_wall_get_piece (wall, i - 1);
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      const double end_slope = below->slope_rad + below->curvature_per_mm * below->length_mm;
      if (fabs (p->slope_rad - end_slope) > EDGE_RAD)
        g_array_append_val (edges, p->s_mm);
    }
  const double length = rhy_wall_get_length (wall);
  g_array_append_val (edges, length);
  return edges;
}

static gboolean
init_rings (RhySkin *self,
            double   middle,
            double   limit)
{
  g_autoptr (GArray) edges = edges_of (self->wall);
  g_autoptr (GArray) cuts = g_array_new (FALSE, FALSE, sizeof (double));
  double from = 0.0;
  for (guint i = 0; i < edges->len; i++)
    {
      const double to = g_array_index (edges, double, i);
      cut_evenly (self->wall, from, to, limit, cuts);
      from = to;
    }
  self->cut = RHY_CUT_RINGS;
  self->patches = g_new0 (RhyPatch, cuts->len);
  from = 0.0;
  for (guint i = 0; i < cuts->len; i++)
    {
      const double to = g_array_index (cuts, double, i);
      if (!make_ring (self->wall, from, to, middle, &self->patches[self->n_patches++]))
        return FALSE;
      from = to;
    }
  return TRUE;
}

/* --- gores ---------------------------------------------------------------- */

static RhyPatch
make_gore (const RhyWall *wall,
           double         middle,
           guint          i,
           guint          n)
{
  const double width = 2.0 * G_PI / n;
  /* The artwork's middle falls in the middle of a gore. */
  const double at = middle + width * ((double) i - (double) (n / 2));
  return (RhyPatch) { .s0 = 0.0, .s1 = rhy_wall_get_length (wall), .a0 = at - 0.5 * width, .a1 = at + 0.5 * width,
                      .turn = at };
}

static guint
count_gores (const RhyWall *wall,
             double         limit)
{
  for (guint n = 3; n < MOST_PATCHES; n++)
    {
      const RhyPatch gore = make_gore (wall, 0.0, n / 2, n);
      if (fabs (patch_stretch (&gore, wall)) <= limit)
        return n;
    }
  return MOST_PATCHES;
}

static void
init_gores (RhySkin *self,
            double   middle,
            guint    n)
{
  self->cut = RHY_CUT_GORES;
  self->n_patches = n;
  self->patches = g_new0 (RhyPatch, n);
  for (guint i = 0; i < n; i++)
    self->patches[i] = make_gore (self->wall, middle, i, n);
}

/* --- the skin ------------------------------------------------------------- */

static void
init_whole (RhySkin *self,
            RhyMap  *whole,
            double   middle)
{
  self->cut = RHY_CUT_WHOLE;
  self->n_patches = 1;
  self->patches = g_new0 (RhyPatch, 1);
  self->patches[0] = (RhyPatch) { .s0 = 0.0, .s1 = rhy_wall_get_length (self->wall), .a0 = middle - G_PI,
                                  .a1 = middle + G_PI, .unroll = rhy_map_ref (whole) };
}

static void
find_stretch (RhySkin *self)
{
  self->stretch = 0.0;
  for (guint i = 0; i < self->n_patches; i++)
    {
      const double stretch = patch_stretch (&self->patches[i], self->wall);
      if (fabs (stretch) > fabs (self->stretch))
        self->stretch = stretch;
    }
}

gboolean
rhy_skin_init (RhySkin *self,
               RhyWall *wall,
               RhyMap  *whole,
               double   middle,
               RhyCut   cut,
               double   limit,
               GError **error)
{
  *self = (RhySkin) { .wall = wall };
  if (cut == RHY_CUT_AUTO || cut == RHY_CUT_WHOLE)
    {
      init_whole (self, whole, middle);
      find_stretch (self);
      if (cut == RHY_CUT_WHOLE || fabs (self->stretch) <= limit)
        return TRUE;
      rhy_skin_clear (self);
    }

  g_autoptr (GArray) edges = edges_of (wall);
  if (cut == RHY_CUT_GORES && edges->len > 1)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
                           "gores need a wall without an edge around it: cut this one into rings");
      return FALSE;
    }
  gboolean rings = cut != RHY_CUT_GORES;
  if (rings && !init_rings (self, middle, limit))
    {
      rhy_skin_clear (self);
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_GEOMETRY, "no rings can be laid out for this wall");
      return FALSE;
    }
  const guint gores = edges->len > 1 || cut == RHY_CUT_RINGS ? MOST_PATCHES : count_gores (wall, limit);
  if (!rings || (cut == RHY_CUT_AUTO && gores < self->n_patches))
    {
      rhy_skin_clear (self);
      init_gores (self, middle, gores);
    }
  find_stretch (self);
  return TRUE;
}

void
rhy_skin_clear (RhySkin *self)
{
  for (guint i = 0; i < self->n_patches; i++)
    clear_patch (&self->patches[i]);
  g_clear_pointer (&self->patches, g_free);
  self->n_patches = 0;
}

/* --- outlines ------------------------------------------------------------- */

/* Along a parallel a patch runs a circle at an even pace, so a cubic with handles
 * of 4/3 tan (turn/4) radii is within 7e-8 radii of it at 16 steps a turn (2.7e-4
 * at a quarter of a circle, falling as the sixth power of the step). tan(x)/x is 1
 * at 0: a cylinder's parallels come out straight. */
static void
add_parallel (const RhyPatch *self,
              const RhyWall  *wall,
              RhyPath        *path,
              double          s,
              double          from,
              double          to)
{
  const int steps = (int) MAX (2.0, ceil (16.0 * fabs (to - from) / (2.0 * G_PI) - 1e-9));
  const double step = (to - from) / steps;
  const RhyPoint start = rhy_patch_point (self, wall, s, from);
  if (path->n_verbs == 0)
    rhy_path_move_to (path, start.x, start.y);
  else
    rhy_path_line_to (path, start.x, start.y);

  for (int i = 0; i < steps; i++)
    {
      const double a = from + i * step;
      const RhyPoint p = rhy_patch_point (self, wall, s, a);
      const RhyPoint q = rhy_patch_point (self, wall, s, a + step);
      const double heading = rhy_patch_heading (self, wall, s, a);
      const double turn = remainder (rhy_patch_heading (self, wall, s, a + step) - heading, 2.0 * G_PI);
      /* The arc's own length from its chord; the pace is even, so both handles are alike. */
      const double chord = hypot (q.x - p.x, q.y - p.y);
      const double length = chord / sinc (0.5 * turn);
      const double quarter = 0.25 * turn;
      const double arm = copysign (length / 3.0 * (fabs (quarter) > 1e-8 ? tan (quarter) / quarter : 1.0), step);
      rhy_path_cubic_to (path, p.x + arm * cos (heading), p.y + arm * sin (heading),
                         q.x - arm * cos (heading + turn), q.y - arm * sin (heading + turn), q.x, q.y);
    }
}

static void
add_side (const RhyPatch *self,
          const RhyWall  *wall,
          RhyPath        *path,
          double          angle,
          double          from,
          double          to)
{
  const int n = self->unroll != NULL ? 1 : (int) ceil (fabs (to - from) / STEP_MM);
  for (int i = 1; i < n; i++)
    {
      const RhyPoint p = rhy_patch_point (self, wall, from + (to - from) * i / n, angle);
      rhy_path_line_to (path, p.x, p.y);
    }
}

/* A tab is narrower at its ends, so that it slips under the other end without showing. */
void
rhy_patch_seam (const RhyPatch *self,
                const RhyWall  *wall,
                RhyPoint        corners[4])
{
  const RhyPoint low = rhy_patch_point (self, wall, self->s0, self->a1);
  const RhyPoint high = rhy_patch_point (self, wall, self->s1, self->a1);
  const double length = hypot (high.x - low.x, high.y - low.y);
  const double tx = (high.x - low.x) / length;
  const double ty = (high.y - low.y) / length;
  const double out = rhy_patch_heading (self, wall, 0.5 * (self->s0 + self->s1), self->a1);
  const double nx = self->tab_mm * cos (out);
  const double ny = self->tab_mm * sin (out);
  const double slant = MIN (self->tab_mm, 0.25 * length);
  corners[0] = low;
  corners[1] = high;
  corners[2] = (RhyPoint) { high.x - slant * tx + nx, high.y - slant * ty + ny };
  corners[3] = (RhyPoint) { low.x + slant * tx + nx, low.y + slant * ty + ny };
}

static void
add_tab (const RhyPatch *self,
         const RhyWall  *wall,
         RhyPath        *path)
{
  RhyPoint corners[4];
  rhy_patch_seam (self, wall, corners);
  rhy_path_line_to (path, corners[3].x, corners[3].y);
  rhy_path_line_to (path, corners[2].x, corners[2].y);
}

RhyPath *
rhy_patch_outline (const RhyPatch *self,
                   const RhyWall  *wall)
{
  RhyPath *path = rhy_path_new ();
  add_parallel (self, wall, path, self->s0, self->a0, self->a1);
  if (self->tab_mm > 0.0)
    add_tab (self, wall, path);
  else
    add_side (self, wall, path, self->a1, self->s0, self->s1);
  add_parallel (self, wall, path, self->s1, self->a1, self->a0);
  add_side (self, wall, path, self->a0, self->s1, self->s0);
  rhy_path_close (path);
  return path;
}

/* --- ink ------------------------------------------------------------------ */

/* One side of a box in (angle, s): keeps what is over (or under) a value. */
typedef struct
{
  gboolean along_s;
  gboolean over;
  double   value;
} Side;

static double
inside_by (const Side *side,
           RhyPoint    p)
{
  const double d = (side->along_s ? p.y : p.x) - side->value;
  return side->over ? d : -d;
}

static RhyPoint
crossing (const Side *side,
          RhyPoint    p,
          RhyPoint    q)
{
  const double dp = inside_by (side, p);
  const double t = dp / (dp - inside_by (side, q));
  return (RhyPoint) { p.x + t * (q.x - p.x), p.y + t * (q.y - p.y) };
}

/* Sutherland and Hodgman (1974): a ring of points cut by one side. What it runs
 * along the side twice covers nothing. */
static GArray *
cut_ring (GArray     *ring,
          const Side *side)
{
  GArray *out = g_array_new (FALSE, FALSE, sizeof (RhyPoint));
  for (guint i = 0; i < ring->len; i++)
    {
      const RhyPoint p = g_array_index (ring, RhyPoint, i);
      const RhyPoint q = g_array_index (ring, RhyPoint, (i + 1) % ring->len);
      const gboolean p_in = inside_by (side, p) >= 0.0;
      const gboolean q_in = inside_by (side, q) >= 0.0;
      if (p_in)
        g_array_append_val (out, p);
      if (p_in != q_in)
        {
          const RhyPoint c = crossing (side, p, q);
          g_array_append_val (out, c);
        }
    }
  g_array_unref (ring);
  return out;
}

/* A line cut by one side: the pieces inside, each its own subpath. */
static RhyPath *
cut_line (RhyPath    *line,
          const Side *side)
{
  RhyPath *out = rhy_path_new ();
  RhyPathIter iter;
  RhySegment g;
  gboolean open = FALSE;
  rhy_path_iter_init (&iter, line);
  while (rhy_path_iter_next (&iter, &g))
    {
      const gboolean p_in = inside_by (side, g.p[0]) >= 0.0;
      const gboolean q_in = inside_by (side, g.p[1]) >= 0.0;
      if (g.first)
        open = FALSE;
      if (p_in || q_in)
        {
          const RhyPoint p = p_in ? g.p[0] : crossing (side, g.p[0], g.p[1]);
          const RhyPoint q = q_in ? g.p[1] : crossing (side, g.p[0], g.p[1]);
          if (!open)
            rhy_path_move_to (out, p.x, p.y);
          rhy_path_line_to (out, q.x, q.y);
        }
      open = q_in;
    }
  rhy_path_unref (line);
  return out;
}

static void
add_to_page (const RhyPatch *self,
             const RhyWall  *wall,
             RhyPath        *path,
             RhyPoint        p,
             RhyPoint        q,
             gboolean        first)
{
  const double length = hypot (q.y - p.y, rhy_wall_at (wall, q.y).r_mm * (q.x - p.x));
  const int n = (int) MAX (ceil (length / STEP_MM), 1.0);
  for (int i = first ? 0 : 1; i <= n; i++)
    {
      const RhyPoint at = rhy_patch_point (self, wall, p.y + (q.y - p.y) * i / n, p.x + (q.x - p.x) * i / n);
      if (i == 0)
        rhy_path_move_to (path, at.x, at.y);
      else
        rhy_path_line_to (path, at.x, at.y);
    }
}

/* @placed: x angle, y s. Fills are cut as rings, lines as lines. */
static RhyPath *
cut_to_patch (const RhyPatch *self,
              const RhyWall  *wall,
              RhyPath        *placed,
              gboolean        filled)
{
  const Side sides[] = { { TRUE, TRUE, self->s0 }, { TRUE, FALSE, self->s1 },
                         { FALSE, TRUE, self->a0 }, { FALSE, FALSE, self->a1 } };
  RhyPath *page = rhy_path_new ();
  if (!filled)
    {
      RhyPath *line = rhy_path_ref (placed);
      for (guint i = 0; i < G_N_ELEMENTS (sides); i++)
        line = cut_line (line, &sides[i]);
      RhyPathIter iter;
      RhySegment g;
      rhy_path_iter_init (&iter, line);
      while (rhy_path_iter_next (&iter, &g))
        add_to_page (self, wall, page, g.p[0], g.p[1], g.first);
      rhy_path_unref (line);
      return page;
    }

  for (gsize from = 0; from < placed->n_points;)
    {
      gsize to = from + 1;
      while (to < placed->n_points && placed->verbs[to] != RHY_PATH_MOVE)
        to++;
      GArray *ring = g_array_new (FALSE, FALSE, sizeof (RhyPoint));
      g_array_append_vals (ring, placed->points + from, (guint) (to - from));
      for (guint i = 0; i < G_N_ELEMENTS (sides) && ring->len > 0; i++)
        ring = cut_ring (ring, &sides[i]);
      for (guint i = 0; i < ring->len; i++)
        add_to_page (self, wall, page, g_array_index (ring, RhyPoint, i),
                     g_array_index (ring, RhyPoint, (i + 1) % ring->len), i == 0);
      if (ring->len > 0)
        rhy_path_close (page);
      g_array_unref (ring);
      from = to;
    }
  return page;
}

/* Artwork that goes past the paper's ends comes in at the other end: all turns of
 * it that reach the patch. @placed: (transfer full) */
static RhyPath *
cut_all_turns (const RhyPatch *self,
               const RhyWall  *wall,
               RhyPath        *placed,
               gboolean        filled)
{
  RhyPath *page = rhy_path_new ();
  const RhyBounds b = rhy_path_get_bounds (placed);
  if (!rhy_bounds_is_empty (b))
    for (double k = ceil ((self->a0 - b.max_x) / (2.0 * G_PI)); b.min_x + 2.0 * G_PI * k < self->a1; k++)
      {
        g_autoptr (RhyPath) turned = rhy_path_transformed (placed, (RhyAffine) { 1, 0, 0, 1, 2.0 * G_PI * k, 0 });
        g_autoptr (RhyPath) part = cut_to_patch (self, wall, turned, filled);
        const RhyPoint *p = part->points;
        for (gsize i = 0; i < part->n_verbs; i++)
          if (part->verbs[i] == RHY_PATH_CLOSE)
            rhy_path_close (page);
          else
            {
              if (part->verbs[i] == RHY_PATH_MOVE)
                rhy_path_move_to (page, p->x, p->y);
              else
                rhy_path_line_to (page, p->x, p->y);
              p++;
            }
      }
  rhy_path_unref (placed);
  return page;
}

static void
add_part (RhyArtworkBuilder *builder,
          const RhyShape    *shape,
          RhyPath           *path,
          gboolean           fill)
{
  RhyShape part = rhy_shape_dup (shape, path);
  part.has_fill = fill;
  part.has_stroke = !fill;
  /* The page's y runs down; a pen that is not round is turned over with it. */
  part.pen.matrix = rhy_affine_then (shape->pen.matrix, (RhyAffine) { 1.0, 0.0, 0.0, -1.0, 0.0, 0.0 });
  rhy_artwork_builder_add_shape (builder, &part);
}

RhyArtwork *
rhy_patch_ink (const RhyPatch   *self,
               const RhyWall    *wall,
               const RhyArtwork *art,
               const RhyMap     *lay)
{
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  guint n = 0;
  for (gsize i = 0; i < rhy_artwork_get_n_clips (art); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (art, i);
      rhy_artwork_builder_add_clip (builder,
                                    cut_all_turns (self, wall, rhy_texture_place (clip->path, rhy_place_by_map, lay, FALSE), TRUE),
                                    clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (art); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (art, i);
      for (int pass = 0; pass < 2; pass++)
        {
          const gboolean fill = pass == 0;
          if (fill ? !shape->has_fill : !shape->has_stroke)
            continue;
          RhyPath *path = cut_all_turns (self, wall, rhy_texture_place (shape->path, rhy_place_by_map, lay, !fill), fill);
          if (path->n_points == 0)
            rhy_path_unref (path);
          else
            {
              add_part (builder, shape, path, fill);
              n++;
            }
        }
    }
  RhyArtwork *ink = rhy_artwork_builder_end (builder);
  if (n == 0)
    g_clear_pointer (&ink, rhy_artwork_unref);
  return ink;
}
