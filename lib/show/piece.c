/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/piece.h>

#include <math.h>
#include <string.h>

static const char *const names[] = {
  [RHY_PIECE_RULER] = "ruler",
  [RHY_PIECE_ARROW] = "arrow",
  [RHY_PIECE_LADDER] = "ladder",
  [RHY_PIECE_TURN] = "turn",
};

#define STEP_MM 10.0
#define LINE_MM 0.1             /* nominal: lines are run once */
#define LABEL_MM 2.4            /* height of a digit */

static const RhyColour black = { 0.0, 0.0, 0.0, 1.0 };

const char *
rhy_piece_to_string (RhyPiece piece)
{
  g_return_val_if_fail ((gsize) piece < G_N_ELEMENTS (names), NULL);

  return names[piece];
}

gboolean
rhy_piece_from_string (const char *text,
                       RhyPiece   *piece)
{
  g_return_val_if_fail (text != NULL && piece != NULL, FALSE);

  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (strcmp (text, names[i]) == 0)
      {
        *piece = (RhyPiece) i;
        return TRUE;
      }
  return FALSE;
}

double
rhy_piece_energy (double watts,
                  double power_percent,
                  double speed_mm_s,
                  double line_distance_mm)
{
  return watts * power_percent / 100.0 / (speed_mm_s * line_distance_mm);
}

static double
from_linear (double c)
{
  c = CLAMP (c, 0.0, 1.0);
  return c <= 0.0031308 ? 12.92 * c : 1.055 * pow (c, 1.0 / 2.4) - 0.055;
}

/* Even steps of hue at lightness 0.62 and chroma 0.11 of the Oklab space, where equal
 * distances look equal. Source: B. Ottosson, "A perceptual color space for image
 * processing", 2020 (matrices from memory); transfer curve: IEC 61966-2-1. */
RhyColour
rhy_piece_ladder_colour (gsize i,
                         gsize n)
{
  g_return_val_if_fail (n > 0, black);

  const double hue = 2.0 * G_PI * (double) i / (double) n + 0.5;
  const double a = 0.11 * cos (hue);
  const double b = 0.11 * sin (hue);
  const double l = pow (0.62 + 0.3963377774 * a + 0.2158037573 * b, 3.0);
  const double m = pow (0.62 - 0.1055613458 * a - 0.0638541728 * b, 3.0);
  const double s = pow (0.62 - 0.0894841775 * a - 1.2914855480 * b, 3.0);
  return (RhyColour) { from_linear (4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
                       from_linear (-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
                       from_linear (-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s), 1.0 };
}

static void
add_lines (RhyArtworkBuilder *builder,
           RhyPath           *path)
{
  const RhyShape shape = { .path = path, .has_stroke = TRUE, .stroke = black,
                           .pen = { .width = LINE_MM, .cap = RHY_CAP_ROUND, .join = RHY_JOIN_ROUND,
                                    .miter_limit = 4.0, .matrix = RHY_AFFINE_IDENTITY } };
  rhy_artwork_builder_add_shape (builder, &shape);
}

static void
line (RhyPath *path, double x0, double y0, double x1, double y1)
{
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y1);
}

/* Widths of a digit's field and of the gap that ends it, in sixths of the height. */
#define ADVANCE 5.6
#define GAP 1.6

static double
label_width (const char *text)
{
  return ((double) strlen (text) * ADVANCE - GAP) * LABEL_MM / 6.0;
}

/* Digits as single strokes on a field 4 wide and 6 high: pairs of places, a stroke
 * after another parted by a blank. a..e is 0..4 across, 0..6 up. Drawn for this. */
static const struct { char c; const char *strokes; } glyphs[] = {
  { '0', "b0d0e1e5d6b6a5a1b0" }, { '1', "a4c6c0 a0e0" },
  { '2', "a5b6d6e5e4a0e0" },     { '3', "a6e6c4d4e3e1d0b0a1" },
  { '4', "d0d6a2e2" },           { '5', "e6a6a4d4e3e1d0a0" },
  { '6', "e6b6a4a1b0d0e1e2d3a3" }, { '7', "a6e6b0" },
  { '8', "b3a4a5b6d6e5e4d3b3a2a1b0d0e1e2d3" }, { '9', "e3b3a4a5b6d6e5e2d0a0" },
  { '.', "c0c0" }, { '-', "a3d3" },
};

/* @text centred on (x, y) where @middle, else starting there; digits, point and minus. */
static void
label (RhyPath    *path,
       double      x,
       double      y,
       const char *text,
       gboolean    middle)
{
  const double unit = LABEL_MM / 6.0;
  const double advance = ADVANCE * unit;
  if (middle)
    {
      x -= 0.5 * label_width (text);
      y -= 0.5 * LABEL_MM;
    }
  for (; *text != '\0'; text++, x += advance)
    for (gsize g = 0; g < G_N_ELEMENTS (glyphs); g++)
      {
        if (glyphs[g].c != *text)
          continue;
        gboolean first = TRUE;
        for (const char *p = glyphs[g].strokes; *p != '\0'; p++)
          {
            if (*p == ' ')
              {
                first = TRUE;
                continue;
              }
            const double px = x + (*p - 'a') * unit;
            const double py = y + (p[1] - '0') * unit;
            (first ? rhy_path_move_to : rhy_path_line_to) (path, px, py);
            first = FALSE;
            p++;
          }
      }
}

static char *
number_text (double value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  return g_strdup (g_ascii_formatd (buffer, sizeof buffer, "%.4g", value));
}

static gboolean
refuse (GError    **error,
        const char *what)
{
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, what);
  return FALSE;
}

/* Lines every 10 mm both ways, ticks every mm on the two axes, figures at all four
 * edges: the middle of the ink, where the mark stands, is then the middle cross. */
static gboolean
add_ruler (RhyArtworkBuilder     *builder,
           const RhyPieceOptions *o,
           GError               **error)
{
  const int across = (int) floor (o->width_mm / (2.0 * STEP_MM) + 1e-9);
  const int up = (int) floor (o->height_mm / (2.0 * STEP_MM) + 1e-9);
  if (across < 1 || up < 1 || across > 100 || up > 100)
    return refuse (error, "a ruler piece takes a grid from 20 x 20 to 2000 x 2000 mm");

  const double w = across * STEP_MM;
  const double h = up * STEP_MM;
  RhyPath *grid = rhy_path_new ();
  RhyPath *ticks = rhy_path_new ();
  RhyPath *figures = rhy_path_new ();
  for (int i = -across; i <= across; i++)
    {
      line (grid, i * STEP_MM, -h, i * STEP_MM, h);
      g_autofree char *text = g_strdup_printf ("%d", i * (int) STEP_MM);
      /* Clear of the corners' own figures at the sides. */
      label (figures, i * STEP_MM, -h - 1.5 * LABEL_MM, text, TRUE);
      label (figures, i * STEP_MM, h + 1.5 * LABEL_MM, text, TRUE);
    }
  for (int k = -up; k <= up; k++)
    {
      line (grid, -w, k * STEP_MM, w, k * STEP_MM);
      g_autofree char *text = g_strdup_printf ("%d", k * (int) STEP_MM);
      label (figures, w + 1.4, k * STEP_MM - 0.5 * LABEL_MM, text, FALSE);
      label (figures, -w - 1.4 - label_width (text), k * STEP_MM - 0.5 * LABEL_MM, text, FALSE);
    }
  for (int mm = -across * 10 + 1; mm < across * 10; mm++)
    if (mm % 10 != 0)
      line (ticks, mm, 0.0, mm, mm % 5 == 0 ? 2.0 : 1.0);
  for (int mm = -up * 10 + 1; mm < up * 10; mm++)
    if (mm % 10 != 0)
      line (ticks, 0.0, mm, mm % 5 == 0 ? 2.0 : 1.0, mm);
  add_lines (builder, grid);
  add_lines (builder, ticks);
  add_lines (builder, figures);
  return TRUE;
}

static void
add_fill (RhyArtworkBuilder *builder,
          RhyPath           *path,
          RhyColour          colour)
{
  const RhyShape shape = { .path = path, .has_fill = TRUE, .fill = colour, .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
}

static RhyPath *
polygon (const RhyPoint *p,
         gsize           n)
{
  RhyPath *path = rhy_path_new ();
  for (gsize i = 0; i < n; i++)
    (i == 0 ? rhy_path_move_to : rhy_path_line_to) (path, p[i].x, p[i].y);
  rhy_path_close (path);
  return path;
}

/* No turn or mirror of it looks like another. */
static void
add_arrow (RhyArtworkBuilder *builder)
{
  const RhyPoint arrow[] = { { -0.8, 0 }, { 0.8, 0 }, { 0.8, 20 }, { 4, 20 }, { 0, 28 }, { -4, 20 }, { -0.8, 20 } };
  const RhyPoint flag[] = { { 1.8, 5 }, { 10, 9 }, { 1.8, 13 } };
  add_fill (builder, polygon (arrow, G_N_ELEMENTS (arrow)), black);
  add_fill (builder, polygon (flag, G_N_ELEMENTS (flag)), black);
}

/* Powers across, speeds up; the same order as the figures at the edges. */
static gboolean
add_ladder (RhyArtworkBuilder     *builder,
            const RhyPieceOptions *o,
            GError               **error)
{
  if (o->n_powers == 0 || o->n_speeds == 0)
    return refuse (error, "a ladder piece takes at least one power and one speed");
  if (!(o->width_mm >= 2.0 && o->height_mm >= 2.0))
    return refuse (error, "a ladder's cell takes at least 2 x 2 mm");

  const double gap = 0.25 * MIN (o->width_mm, o->height_mm);
  RhyPath *figures = rhy_path_new ();
  for (gsize k = 0; k < o->n_speeds; k++)
    for (gsize i = 0; i < o->n_powers; i++)
      {
        const double x = (double) i * (o->width_mm + gap);
        const double y = (double) k * (o->height_mm + gap);
        const RhyPoint cell[] = { { x, y }, { x + o->width_mm, y }, { x + o->width_mm, y + o->height_mm }, { x, y + o->height_mm } };
        add_fill (builder, polygon (cell, 4), rhy_piece_ladder_colour (k * o->n_powers + i, o->n_powers * o->n_speeds));
      }
  /* Where they would run into each other every other one stands lower. */
  double widest = 0.0;
  for (gsize i = 0; i < o->n_powers; i++)
    {
      g_autofree char *text = number_text (o->powers[i]);
      widest = MAX (widest, label_width (text));
    }
  const double lower = widest + 0.8 > o->width_mm + gap ? LABEL_MM + 1.0 : 0.0;
  for (gsize i = 0; i < o->n_powers; i++)
    {
      g_autofree char *text = number_text (o->powers[i]);
      label (figures, ((double) i + 0.5) * o->width_mm + (double) i * gap, -2.6 - (i % 2 == 1 ? lower : 0.0), text, TRUE);
    }
  for (gsize k = 0; k < o->n_speeds; k++)
    {
      g_autofree char *text = number_text (o->speeds[k]);
      const double x = (double) o->n_powers * (o->width_mm + gap) - gap + 1.4;
      label (figures, x, ((double) k + 0.5) * o->height_mm + (double) k * gap - 0.5 * LABEL_MM, text, FALSE);
    }
  add_lines (builder, figures);
  return TRUE;
}

/* The scale stands above the line's start, the end's mark hangs below it: after
 * exactly one turn the mark stands under 0. */
static gboolean
add_turn (RhyArtworkBuilder     *builder,
          const RhyPieceOptions *o,
          GError               **error)
{
  if (!(o->around_mm > 30.0))
    return refuse (error, "a turn piece takes a vessel of more than 30 mm around");
  RhyPath *lines = rhy_path_new ();
  RhyPath *figures = rhy_path_new ();
  line (lines, 0.0, 0.0, o->around_mm, 0.0);
  for (int mm = -10; mm <= 10; mm++)
    line (lines, mm, 0.6, mm, mm % 10 == 0 ? 4.0 : mm % 5 == 0 ? 3.0 : 2.0);
  line (lines, o->around_mm, -0.6, o->around_mm, -4.0);
  label (figures, -10.0, 6.2, "-10", TRUE);
  label (figures, 0.0, 6.2, "0", TRUE);
  label (figures, 10.0, 6.2, "10", TRUE);
  add_lines (builder, lines);
  add_lines (builder, figures);
  return TRUE;
}

RhyArtwork *
rhy_piece_new (RhyPiece               piece,
               const RhyPieceOptions *options,
               GError               **error)
{
  g_return_val_if_fail (options != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  gboolean ok = TRUE;
  switch (piece)
    {
    case RHY_PIECE_RULER:
      ok = add_ruler (builder, options, error);
      break;
    case RHY_PIECE_ARROW:
      add_arrow (builder);
      break;
    case RHY_PIECE_LADDER:
      ok = add_ladder (builder, options, error);
      break;
    default:
      ok = add_turn (builder, options, error);
      break;
    }
  return ok ? rhy_artwork_builder_end (g_steal_pointer (&builder)) : NULL;
}
