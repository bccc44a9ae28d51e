/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/proof.h>

#include <rhyton/intake.h>

#include <math.h>
#include <string.h>

#include "../shape/load.h"
#include "drawing-cuts.h"
#include "proof-pictures.h"

/* How far a chord may leave its curve, on the wall: the greatest error that
 * cutting curves into chords can put into the answer, twice (both sides). */
#define CHORD_MM 2e-5
/* Points are tried at least this close together, and so many to a segment: the
 * distance between a cubic and what it stands for swings about three times over
 * its length, and 64 samples miss the top of such a swing by under 1 %. */
#define STEP_MM 0.1
#define STEPS_LEAST 64
/* Nor closer than this: what a curve can do in between is far under 1e-4 mm. */
#define STEP_LEAST_MM 0.004
/* What lies this near to where bands are parted was cut there: a file's numbers are read on a
 * grid of 2.4e-7 of its page. */
#define CUT_MM 1e-4

/* --- a drawing as chords on the wall -------------------------------------- */

typedef struct { double s0, a0, s1, a1; } Chord;

typedef struct
{
  GArray       *chords;         /* Chord */
  GArray       *samples;        /* RhyWallPoint, even along the curves */
  const RhyMap *map;            /* from the drawing's space to the wall */
  gboolean      backwards;      /* @map is taken the other way round */
  RhyWall      *wall;
  gboolean      off;            /* a point had no image */

  /* Of a drawing in bands: where it is cut, and the edges there. */
  gboolean      along_x;
  const double *cuts;
  guint         n_cuts;
  GArray       *edges;          /* Edge: two ends of each */
} Curves;

/* An end of an edge on a cut; @at: along it. */
typedef struct { guint cut; double at; } Edge;

static gboolean
to_wall (Curves       *self,
         RhyPoint      p,
         RhyWallPoint *at)
{
  RhyPoint out;
  if (self->backwards ? !rhy_map_point_inverse (self->map, p, &out) : !rhy_map_point (self->map, p, &out))
    {
      self->off = TRUE;
      return FALSE;
    }
  *at = (RhyWallPoint) { out.x, out.y };
  return TRUE;
}

static RhyPoint
point_of (const RhySegment *g,
          double            t)
{
  const double m = 1.0 - t;
  const RhyPoint *p = g->p;
  if (g->verb == RHY_PATH_LINE)
    return (RhyPoint) { m * p[0].x + t * p[1].x, m * p[0].y + t * p[1].y };
  const double b[4] = { m * m * m, 3.0 * m * m * t, 3.0 * m * t * t, t * t * t };
  return (RhyPoint) { b[0] * p[0].x + b[1] * p[1].x + b[2] * p[2].x + b[3] * p[3].x,
                      b[0] * p[0].y + b[1] * p[1].y + b[2] * p[2].y + b[3] * p[3].y };
}

/* Distance from a wall point to a chord, in the flat plane that touches the wall
 * there: ds up, r da around. The distances that matter are small against r. */
static double
distance_to (RhyWallPoint p,
             double       r,
             Chord        c)
{
  const double x0 = r * (c.a0 - p.angle);
  const double y0 = c.s0 - p.s;
  const double dx = r * (c.a1 - c.a0);
  const double dy = c.s1 - c.s0;
  const double length2 = dx * dx + dy * dy;
  const double t = length2 > 0.0 ? CLAMP (-(x0 * dx + y0 * dy) / length2, 0.0, 1.0) : 0.0;
  return hypot (x0 + t * dx, y0 + t * dy);
}

static void
add_chords (Curves           *self,
            const RhySegment *g,
            double            t0,
            RhyWallPoint      p0,
            double            t1,
            RhyWallPoint      p1,
            int               depth)
{
  RhyWallPoint middle;
  const double t = 0.5 * (t0 + t1);
  const Chord chord = { p0.s, p0.angle, p1.s, p1.angle };
  if (!to_wall (self, point_of (g, t), &middle))
    return;
  const double r = rhy_wall_at (self->wall, middle.s).r_mm;
  if (depth > 0 && distance_to (middle, r, chord) > CHORD_MM)
    {
      add_chords (self, g, t0, p0, t, middle, depth - 1);
      add_chords (self, g, t, middle, t1, p1, depth - 1);
      return;
    }
  g_array_append_val (self->chords, chord);
}

static double
reach_of (const RhySegment *g)
{
  const int n = g->verb == RHY_PATH_CUBIC ? 3 : 1;
  double reach = 0.0;
  for (int i = 0; i < n; i++)
    reach += hypot (g->p[i + 1].x - g->p[i].x, g->p[i + 1].y - g->p[i].y);
  return reach;
}

/* Whether a line lies on a cut; then it is remembered with the others there. */
static gboolean
is_on_cut (Curves           *self,
           const RhySegment *g)
{
  if (g->verb != RHY_PATH_LINE)
    return FALSE;
  const double a = self->along_x ? g->p[0].x : g->p[0].y;
  const double b = self->along_x ? g->p[1].x : g->p[1].y;
  for (guint i = 0; i < self->n_cuts; i++)
    if (fabs (a - self->cuts[i]) <= CUT_MM && fabs (b - self->cuts[i]) <= CUT_MM)
      {
        const Edge ends[2] = { { i, self->along_x ? g->p[0].y : g->p[0].x }, { i, self->along_x ? g->p[1].y : g->p[1].x } };
        g_array_append_vals (self->edges, ends, 2);
        return TRUE;
      }
  return FALSE;
}

static int
by_cut (gconstpointer a,
        gconstpointer b)
{
  const Edge *x = a;
  const Edge *y = b;
  return x->cut < y->cut ? -1 : x->cut > y->cut ? 1 : x->at < y->at ? -1 : x->at > y->at;
}

/* What was cut has an edge on either side. Where only one side has one, it bounds ink as any line does. */
static void
add_single_edges (Curves *self)
{
  if (self->edges == NULL)
    return;
  g_array_sort (self->edges, by_cut);
  const Edge *edges = (const Edge *) (const void *) self->edges->data;
  guint covered = 0;
  for (guint i = 0; i + 1 < self->edges->len; i++)
    {
      covered = i > 0 && edges[i].cut != edges[i - 1].cut ? 1 : covered + 1;
      const double length = edges[i + 1].at - edges[i].at;
      if (covered % 2 == 0 || edges[i + 1].cut != edges[i].cut || length <= 10.0 * CUT_MM)
        continue;
      const guint n = (guint) ceil (length / STEP_MM) + 1;
      for (guint k = 0; k <= n; k++)
        {
          const double along = edges[i].at + length * k / n;
          const double across = self->cuts[edges[i].cut];
          RhyWallPoint at;
          if (to_wall (self, self->along_x ? (RhyPoint) { across, along } : (RhyPoint) { along, across }, &at))
            g_array_append_val (self->samples, at);
        }
    }
}

static void
add_segment (Curves           *self,
             const RhySegment *g)
{
  RhyWallPoint start, end;
  if (!to_wall (self, point_of (g, 0.0), &start))
    return;
  const gboolean cut = is_on_cut (self, g);

  /* Eight pieces first: a curve's middle may lie on its chord by symmetry. Traced
   * artwork has segments by the hundred thousand, too short for that. */
  const int pieces = reach_of (g) > 0.5 ? 8 : 3;
  RhyWallPoint from = start;
  double length = 0.0;
  for (int i = 1; i <= pieces; i++)
    {
      if (!to_wall (self, point_of (g, (double) i / pieces), &end))
        return;
      length += hypot (end.s - from.s, rhy_wall_at (self->wall, end.s).r_mm * (end.angle - from.angle));
      add_chords (self, g, (double) (i - 1) / pieces, from, (double) i / pieces, end, 14);
      from = end;
    }
  if (cut)
    return;

  const double least = MIN ((double) STEPS_LEAST, ceil (length / STEP_LEAST_MM) + 1.0);
  const int n = (int) CLAMP (ceil (length / STEP_MM), least, 1e5);
  for (int i = 0; i < n; i++)
    {
      RhyWallPoint at;
      if (to_wall (self, point_of (g, (double) i / n), &at))
        g_array_append_val (self->samples, at);
    }
  g_array_append_val (self->samples, end);
}

static void
add_path (Curves        *self,
          const RhyPath *path)
{
  RhyPathIter iter;
  RhySegment g;
  rhy_path_iter_init (&iter, path);
  while (rhy_path_iter_next (&iter, &g))
    add_segment (self, &g);
}

/* Ink that reaches past the page comes with the page's own edge as a clip; no
 * machine cuts there. */
static gboolean
is_page (const RhyPath *path,
         RhyBounds      page)
{
  const RhyBounds b = rhy_path_get_bounds (path);
  const double slack = 1e-3;
  return b.min_x <= page.min_x + slack && b.min_y <= page.min_y + slack
         && b.max_x >= page.max_x - slack && b.max_y >= page.max_y - slack;
}

/* Ink, clips and what bounds pictures are kept apart: one must not stand in for another. */
typedef enum { PLAIN_INK, PLAIN_CLIPS, PICTURES, N_KINDS } Kind;

static gboolean
is_picture (const RhyShape *shape)
{
  return shape->has_fill && shape->fill_paint != NULL;
}

/* For each clip, whether it bounds a picture, and whether plain ink. */
static void
find_uses (const RhyArtwork *art,
           gboolean         *of_pictures,
           gboolean         *of_ink)
{
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (art); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (art, i);
      for (gsize k = 0; k < shape->n_clips; k++)
        *(is_picture (shape) ? &of_pictures[shape->clips[k]] : &of_ink[shape->clips[k]]) = TRUE;
    }
}

/* A drawing's pictures are rectangles of dots; what bounds them is only their clips. */
static gboolean
is_wanted (const RhyShape *shape,
           Kind            kind,
           gboolean        is_drawing)
{
  if (kind == PLAIN_INK)
    return !is_picture (shape) || shape->has_stroke;
  return kind == PICTURES && is_picture (shape) && (!is_drawing || shape->n_clips == 0);
}

static Curves
curves_new (gboolean backwards,
            RhyWall *wall)
{
  return (Curves) { .chords = g_array_new (FALSE, FALSE, sizeof (Chord)),
                    .samples = g_array_new (FALSE, FALSE, sizeof (RhyWallPoint)),
                    .backwards = backwards, .wall = wall };
}

static void
add_artwork (Curves           *self,
             const RhyArtwork *art,
             Kind              kind,
             RhyBounds         page,
             const RhyMap     *map)
{
  const gsize n_clips = rhy_artwork_get_n_clips (art);
  g_autofree gboolean *of_pictures = g_new0 (gboolean, n_clips + 1);
  g_autofree gboolean *of_ink = g_new0 (gboolean, n_clips + 1);
  find_uses (art, of_pictures, of_ink);
  self->map = map;
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (art); i++)
    if (is_wanted (rhy_artwork_get_shape (art, i), kind, self->backwards))
      add_path (self, rhy_artwork_get_shape (art, i)->path);
  for (gsize i = 0; i < n_clips && kind != PLAIN_INK; i++)
    {
      const RhyPath *path = rhy_artwork_get_clip (art, i)->path;
      if ((kind == PICTURES ? of_pictures[i] : of_ink[i]) && (rhy_bounds_is_empty (page) || !is_page (path, page)))
        add_path (self, path);
    }
}

static void
clear_curves (Curves *self)
{
  g_clear_pointer (&self->edges, g_array_unref);
  g_array_unref (self->chords);
  g_array_unref (self->samples);
}

/* --- nearest chord -------------------------------------------------------- */

/* A grid over (s, r_ref a); a chord is in every cell that its box touches. */
typedef struct
{
  const Curves *curves;
  double        s0, a0, cell_mm, r_ref;
  int           across, down;
  guint32      *start;
  guint32      *items;
} Grid;

static void
cells_of (const Grid  *self,
          const Chord *c,
          int          box[4])
{
  const double x0 = self->r_ref * (MIN (c->a0, c->a1) - self->a0) / self->cell_mm;
  const double x1 = self->r_ref * (MAX (c->a0, c->a1) - self->a0) / self->cell_mm;
  const double y0 = (MIN (c->s0, c->s1) - self->s0) / self->cell_mm;
  const double y1 = (MAX (c->s0, c->s1) - self->s0) / self->cell_mm;
  box[0] = CLAMP ((int) x0, 0, self->across - 1);
  box[1] = CLAMP ((int) x1, 0, self->across - 1);
  box[2] = CLAMP ((int) y0, 0, self->down - 1);
  box[3] = CLAMP ((int) y1, 0, self->down - 1);
}

static Grid
grid_new (const Curves *curves)
{
  Grid self = { .curves = curves };
  double s1 = -G_MAXDOUBLE, a1 = -G_MAXDOUBLE;
  self.s0 = self.a0 = G_MAXDOUBLE;
  for (guint i = 0; i < curves->chords->len; i++)
    {
      const Chord c = g_array_index (curves->chords, Chord, i);
      self.s0 = MIN (self.s0, MIN (c.s0, c.s1));
      self.a0 = MIN (self.a0, MIN (c.a0, c.a1));
      s1 = MAX (s1, MAX (c.s0, c.s1));
      a1 = MAX (a1, MAX (c.a0, c.a1));
    }
  /* The smallest radius makes every cell at least its nominal size across. */
  self.r_ref = rhy_wall_narrowest (curves->wall, self.s0, s1).r_mm;
  const double across = self.r_ref * (a1 - self.a0);
  const double down = s1 - self.s0;
  self.cell_mm = MAX (MAX (across, down) / 400.0, 0.05);
  self.across = (int) (across / self.cell_mm) + 1;
  self.down = (int) (down / self.cell_mm) + 1;

  const gsize n_cells = (gsize) self.across * (gsize) self.down;
  self.start = g_new0 (guint32, n_cells + 1);
  for (int pass = 0; pass < 2; pass++)
    {
      for (guint i = 0; i < curves->chords->len; i++)
        {
          int b[4];
          cells_of (&self, &g_array_index (curves->chords, Chord, i), b);
          for (int y = b[2]; y <= b[3]; y++)
            for (int x = b[0]; x <= b[1]; x++)
              {
                const gsize cell = (gsize) y * (gsize) self.across + (gsize) x;
                if (pass == 0)
                  self.start[cell + 1]++;
                else
                  self.items[self.start[cell]++] = i;
              }
        }
      if (pass == 0)
        {
          for (gsize i = 0; i < n_cells; i++)
            self.start[i + 1] += self.start[i];
          self.items = g_new (guint32, self.start[n_cells] + 1);
        }
    }
  /* Filling moved each start to its end, which is the next one's start. */
  memmove (self.start + 1, self.start, n_cells * sizeof *self.start);
  self.start[0] = 0;
  return self;
}

static void
grid_clear (Grid *self)
{
  g_free (self->start);
  g_free (self->items);
}

static double
nearest_in_cell (const Grid  *self,
                 int          x,
                 int          y,
                 RhyWallPoint p,
                 double       r,
                 double       best)
{
  if (x < 0 || x >= self->across || y < 0 || y >= self->down)
    return best;
  const gsize cell = (gsize) y * (gsize) self->across + (gsize) x;
  for (guint32 i = self->start[cell]; i < self->start[cell + 1]; i++)
    best = MIN (best, distance_to (p, r, g_array_index (self->curves->chords, Chord, self->items[i])));
  return best;
}

/* The distance from a point to the nearest chord, or anything not over @enough
 * once that is certain. Rings of cells outwards: what lies beyond ring k is at
 * least k cells away. */
static double
nearest (const Grid  *self,
         RhyWallPoint p,
         double       enough)
{
  const double r = rhy_wall_at (self->curves->wall, p.s).r_mm;
  const double fx = self->r_ref * (p.angle - self->a0) / self->cell_mm;
  const double fy = (p.s - self->s0) / self->cell_mm;
  const int x = (int) CLAMP (floor (fx), -1e6, 1e6);
  const int y = (int) CLAMP (floor (fy), -1e6, 1e6);
  /* Outside the grid the first rings are empty. */
  const int first = MAX (MAX (MAX (-x, x - self->across + 1), MAX (-y, y - self->down + 1)), 0);
  const int last = MAX (MAX (ABS (x), ABS (x - self->across)), MAX (ABS (y), ABS (y - self->down))) + 1;
  const double shrink = MIN (r / self->r_ref, 1.0);
  double best = G_MAXDOUBLE;

  for (int k = first; k <= last; k++)
    {
      if (best <= enough || best <= (k - 1) * self->cell_mm * shrink)
        break;
      if (k == 0)
        {
          best = nearest_in_cell (self, x, y, p, r, best);
          continue;
        }
      for (int i = MAX (x - k, 0); i <= MIN (x + k, self->across - 1); i++)
        {
          best = nearest_in_cell (self, i, y - k, p, r, best);
          best = nearest_in_cell (self, i, y + k, p, r, best);
        }
      for (int i = MAX (y - k + 1, 0); i <= MIN (y + k - 1, self->down - 1); i++)
        {
          best = nearest_in_cell (self, x - k, i, p, r, best);
          best = nearest_in_cell (self, x + k, i, p, r, best);
        }
    }
  return best;
}

/* The greatest distance from @from's samples to @to's curves. A coarse pass
 * raises the mark first, so that later points can stop early. */
static void
measure (const Curves *from,
         const Curves *to,
         RhyProof     *proof)
{
  if (from->samples->len == 0)
    return;
  if (to->chords->len == 0)
    {
      proof->distance_mm = G_MAXDOUBLE;
      proof->where = g_array_index (from->samples, RhyWallPoint, 0);
      return;
    }
  Grid grid = grid_new (to);
  const guint strides[2] = { 61, 1 };
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i < from->samples->len; i += strides[pass])
      {
        const RhyWallPoint p = g_array_index (from->samples, RhyWallPoint, i);
        const double d = nearest (&grid, p, proof->distance_mm);
        if (d > proof->distance_mm)
          {
            proof->distance_mm = d;
            proof->where = p;
          }
      }
  grid_clear (&grid);
}

/* --- reading the file ----------------------------------------------------- */

/* Where the mark, user (0, 0), is on the page, mm from its upper left corner:
 * from the root's width, height and viewBox, as a machine takes them. */
typedef struct
{
  gboolean found;
  double   mark_x, mark_y;
} Root;

static gboolean
read_mm (const char *text,
         double     *mm)
{
  char *end;
  if (text == NULL)
    return FALSE;
  *mm = g_ascii_strtod (text, &end);
  return end != text && strcmp (end, "mm") == 0 && *mm > 0.0;
}

static void
start_element (GMarkupParseContext *context,
               const char          *name,
               const char         **names,
               const char         **values,
               gpointer             data,
               GError             **error)
{
  Root *root = data;
  const char *width_text = NULL;
  const char *height_text = NULL;
  const char *box_text = NULL;
  double width, height, box[4];
  (void) context;

  if (root->found)
    return;
  for (guint i = 0; names[i] != NULL; i++)
    if (strcmp (names[i], "width") == 0)
      width_text = values[i];
    else if (strcmp (names[i], "height") == 0)
      height_text = values[i];
    else if (strcmp (names[i], "viewBox") == 0)
      box_text = values[i];

  char *end = (char *) box_text;
  for (int i = 0; i < 4 && end != NULL; i++)
    {
      while (*end == ',' || g_ascii_isspace (*end))
        end++;
      char *at = end;
      box[i] = g_ascii_strtod (at, &end);
      if (end == at)
        end = NULL;
    }
  if (strcmp (name, "svg") != 0 || !read_mm (width_text, &width) || !read_mm (height_text, &height)
      || end == NULL || !(box[2] > 0.0 && box[3] > 0.0))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                           "not a bed drawing: width and height in mm and a viewBox are needed");
      return;
    }
  root->found = TRUE;
  root->mark_x = -box[0] * width / box[2];
  root->mark_y = -box[1] * height / box[3];
}

static gboolean
read_root (const char *path,
           Root       *root,
           GError    **error)
{
  g_autofree char *text = NULL;
  gsize length;
  if (!rhy_load (path, RHY_INTAKE_BYTES_MAX, "a bed drawing", &text, &length, error))
    return FALSE;

  const GMarkupParser parser = { .start_element = start_element };
  GMarkupParseContext *context = g_markup_parse_context_new (&parser, G_MARKUP_TREAT_CDATA_AS_TEXT, root, NULL);
  g_autoptr (GError) local = NULL;
  g_markup_parse_context_parse (context, text, (gssize) length, &local);
  g_markup_parse_context_free (context);
  /* Only the root matters here; what follows it is the intake's to judge. */
  if (root->found)
    return TRUE;
  if (local != NULL && local->domain == RHY_ERROR)
    g_propagate_error (error, g_steal_pointer (&local));
  else
    g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "not an SVG drawing");
  return FALSE;
}

static RhyArtwork *
read_drawing (const char *path,
              RhyBounds  *box,
              GError    **error)
{
  Root root = { .found = FALSE };
  if (!read_root (path, &root, error))
    return NULL;

  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.layer = "ink";
  g_autoptr (RhyArtwork) page = rhy_intake_file (path, &options, NULL, error);
  if (page == NULL)
    return NULL;
  /* The intake has v up from the lower left corner; the bed has y down from the mark. */
  double width, height;
  rhy_artwork_get_page (page, &width, &height);
  *box = (RhyBounds) { -root.mark_x, -root.mark_y, width - root.mark_x, height - root.mark_y };
  return rhy_artwork_transformed (page, (RhyAffine) { 1.0, 0.0, 0.0, -1.0, -root.mark_x, height - root.mark_y });
}

gboolean
rhy_proof_file (RhyPlan    *plan,
                const char *path,
                RhyProof   *proof,
                GError    **error)
{
  g_return_val_if_fail (plan != NULL && path != NULL && proof != NULL, FALSE);

  RhyBounds page;
  g_autoptr (RhyArtwork) drawing = read_drawing (path, &page, error);
  if (drawing == NULL)
    return FALSE;

  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyProof worst = { .where = rhy_plan_get_numbers (plan)->anchor };
  worst.shift_where = worst.where;
  gboolean off_drawing = FALSE;
  gboolean off_art = FALSE;
  gboolean cut = FALSE;
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  double cuts[RHY_LINE_BANDS_MAX + 1];
  const guint n_bands = rhy_plan_find_line_bands (plan, bands);
  if (n_bands > 0)
    rhy_drawing_find_cuts (plan, bands, n_bands, cuts);
  for (Kind kind = 0; kind < N_KINDS; kind++)
    {
      Curves meant = curves_new (FALSE, wall);
      Curves burnt = curves_new (TRUE, wall);
      for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
        {
          const RhyPlan *part = rhy_plan_get_part (plan, i);
          add_artwork (&meant, rhy_plan_get_artwork (part), kind, RHY_BOUNDS_EMPTY, rhy_plan_get_lay (part));
        }
      if (n_bands > 1)
        {
          burnt.along_x = rhy_job_get_data (rhy_plan_get_job (plan))->machine.axis == RHY_AXIS_X;
          burnt.cuts = cuts + 1;
          burnt.n_cuts = n_bands - 1;
          burnt.edges = g_array_new (FALSE, FALSE, sizeof (Edge));
        }
      add_artwork (&burnt, drawing, kind, page, rhy_plan_get_drive (plan));
      add_single_edges (&burnt);
      if (kind == PLAIN_CLIPS && burnt.samples->len > 0 && meant.samples->len == 0)
        cut = TRUE;
      else
        {
          measure (&meant, &burnt, &worst);
          measure (&burnt, &meant, &worst);
        }
      off_drawing |= burnt.off;
      off_art |= meant.off;
      clear_curves (&meant);
      clear_curves (&burnt);
    }
  if (off_drawing || off_art)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE, "%s reaches off the wall",
                   off_drawing ? "the drawing" : "the artwork");
      return FALSE;
    }
  if (cut || worst.distance_mm == G_MAXDOUBLE)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                           cut ? "the drawing clips its ink where the artwork does not"
                               : "the drawing's ink, or what clips it, is missing altogether");
      return FALSE;
    }
  if (!rhy_proof_pictures (plan, drawing, &worst, error))
    return FALSE;
  *proof = worst;
  return TRUE;
}

/* ---- what is said of it ---- */

static double
tolerance_of (RhyPlan *plan)
{
  return rhy_job_get_data (rhy_plan_get_job (plan))->output.tolerance_mm;
}

static gboolean
has_pictures_in_place (const RhyProof *proof)
{
  return proof->n_pictures == 0 || (proof->shift_mm <= proof->shift_limit_mm && proof->tone <= RHY_PROOF_TONE_MAX);
}

gboolean
rhy_proof_is_good (const RhyProof *proof,
                   RhyPlan        *plan)
{
  g_return_val_if_fail (proof != NULL && plan != NULL, FALSE);

  return proof->distance_mm <= tolerance_of (plan) && has_pictures_in_place (proof);
}

/* A job's numbers are read with a decimal point, whatever the locale: so are these. */
static char *
place_of (RhyPlan      *plan,
          RhyWallPoint  at)
{
  char height[G_ASCII_DTOSTR_BUF_SIZE], angle[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (height, sizeof height, "%.2f", rhy_wall_at (rhy_plan_get_wall (plan), at.s).z_mm);
  g_ascii_formatd (angle, sizeof angle, "%.2f", at.angle / G_PI * 180.0);
  return g_strdup_printf ("at height %s mm, %s degrees around", height, angle);
}

char *
rhy_proof_describe (const RhyProof *proof,
                    RhyPlan        *plan)
{
  g_return_val_if_fail (proof != NULL && plan != NULL, NULL);

  char distance[G_ASCII_DTOSTR_BUF_SIZE], limit[G_ASCII_DTOSTR_BUF_SIZE], tone[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *where = place_of (plan, proof->where);
  GString *text = g_string_new (NULL);
  g_string_append_printf (text, "%s mm %s: %s the tolerance of %s mm",
                          g_ascii_formatd (distance, sizeof distance, "%.6f", proof->distance_mm), where,
                          proof->distance_mm <= tolerance_of (plan) ? "within" : "beyond",
                          rhy_number_to_text (limit, tolerance_of (plan)));
  if (proof->n_pictures > 0)
    {
      g_autofree char *shift_where = place_of (plan, proof->shift_where);
      g_string_append_printf (text, "\npictures: %s mm out of place %s, tones off by %s %%: %s the limits of ",
                              g_ascii_formatd (distance, sizeof distance, "%.4f", proof->shift_mm), shift_where,
                              g_ascii_formatd (tone, sizeof tone, "%.1f", 100.0 * proof->tone),
                              has_pictures_in_place (proof) ? "within" : "beyond");
      g_string_append_printf (text, "%s mm and %.0f %%", g_ascii_formatd (limit, sizeof limit, "%.4f", proof->shift_limit_mm),
                              100.0 * RHY_PROOF_TONE_MAX);
    }
  return g_string_free (text, FALSE);
}
