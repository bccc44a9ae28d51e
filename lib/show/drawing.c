/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/drawing.h>

#include <errno.h>
#include <fcntl.h>
#include <gio/gio.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "draft.h"

static const RhyColour GUIDE = { 0.45, 0.45, 0.45, 1.0 };
static const RhyColour CUT = { 0.0, 0.0, 0.0, 1.0 };

gboolean
rhy_format_from_name (const char *file_name,
                      RhyFormat  *format,
                      GError    **error)
{
  static const struct { const char *ending; RhyFormat format; } formats[] = {
    { ".svg", RHY_FORMAT_SVG }, { ".pdf", RHY_FORMAT_PDF }, { ".png", RHY_FORMAT_PNG },
  };
  g_return_val_if_fail (file_name != NULL && format != NULL, FALSE);

  const gsize n = strlen (file_name);
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    if (n >= 4 && g_ascii_strcasecmp (file_name + n - 4, formats[i].ending) == 0)
      {
        *format = formats[i].format;
        return TRUE;
      }
  g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
               "%s: the ending must be .svg, .pdf or .png", file_name);
  return FALSE;
}

/* A number for people, at most @decimals, trailing zeros dropped. */
static const char *
say (char  *buffer,
     double value,
     int    decimals)
{
  char format[8];
  g_snprintf (format, sizeof format, "%%.%df", decimals);
  g_ascii_formatd (buffer, G_ASCII_DTOSTR_BUF_SIZE, format, value);
  if (strchr (buffer, '.') != NULL)
    {
      char *end = buffer + strlen (buffer);
      while (end[-1] == '0')
        *--end = '\0';
      if (end[-1] == '.')
        *--end = '\0';
    }
  return strcmp (buffer, "-0") == 0 ? "0" : buffer;
}

typedef char Digits[G_ASCII_DTOSTR_BUF_SIZE];

static double
degrees (double radians)
{
  return radians * 180.0 / G_PI;
}

static char *
title_for (RhyPlan    *plan,
           const char *what)
{
  const char *title = rhy_job_get_data (rhy_plan_get_job (plan))->job.title;
  return title != NULL && *title != '\0' ? g_strdup_printf ("%s: %s", title, what) : g_strdup (what);
}

static RhyPath *
line (double x0, double y0, double x1, double y1)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y1);
  return path;
}

/* --- bed ------------------------------------------------------------------ */

#define MARK_ARM_MM 3.0
#define MARK_LINE_MM 0.1

static char *
describe_bed (RhyPlan *plan)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyRing ring = rhy_wall_at (rhy_plan_get_wall (plan), n->anchor.s);
  static const char *const mouths[2][2] = { { "right", "left" }, { "top", "bottom" } };
  Digits travel, tilt, height, around;

  return g_strdup_printf ("Bed drawing for a rotary axis along %s, mouth towards the %s of the page. "
                          "Travel per turn %s mm, tilt %s degrees%s. True millimetres: do not scale, mirror or turn. "
                          "(0, 0) is the mark: height %s mm, %s degrees around.",
                          data->machine.axis == RHY_AXIS_X ? "x" : "y",
                          mouths[data->machine.axis][data->machine.mouth],
                          say (travel, n->travel_per_turn_mm, 3), say (tilt, degrees (n->tilt_rad), 2),
                          data->machine.turn_reversed ? ", turn reversed (drawn mirrored on purpose)" : "",
                          say (height, ring.z_mm, 2), say (around, degrees (n->anchor.angle), 2));
}

/* Outwards to a hundredth of a mm, so that page sizes are round numbers. */
static double
outwards (double half)
{
  return ceil (half * 100.0 - 1e-6) / 100.0;
}

static RhyBounds
bed_page (RhyPlan   *plan,
          RhyBounds  ink)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  double half_x = MAX (fabs (ink.min_x), fabs (ink.max_x));
  double half_y = MAX (fabs (ink.min_y), fabs (ink.max_y));
  if (data->output.mark)
    {
      half_x = MAX (half_x, MARK_ARM_MM);
      half_y = MAX (half_y, MARK_ARM_MM);
    }
  half_x = outwards (half_x);
  half_y = outwards (half_y);

  if (data->output.page == RHY_PAGE_TURN)
    {
      const double half_turn = 0.5 * rhy_plan_get_numbers (plan)->travel_per_turn_mm;
      if (data->machine.axis == RHY_AXIS_X)
        half_y = half_turn;
      else
        half_x = half_turn;
    }
  return (RhyBounds) { -half_x, -half_y, half_x, half_y };
}

GBytes *
rhy_drawing_bed (RhyPlan                 *plan,
                 RhyFormat                format,
                 const RhyDrawingOptions *options,
                 RhyBendReport           *report,
                 GError                 **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyDrawingOptions defaults = RHY_DRAWING_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, report, error);
  if (bent == NULL)
    return NULL;

  g_autofree char *title = title_for (plan, "bed drawing");
  g_autofree char *description = describe_bed (plan);
  g_autoptr (RhyDraft) draft = rhy_draft_new (bed_page (plan, rhy_artwork_get_ink_box (bent)),
                                              title, description);
  rhy_draft_open (draft, "ink");
  rhy_draft_add_artwork (draft, bent);
  rhy_draft_close (draft);
  if (rhy_job_get_data (rhy_plan_get_job (plan))->output.mark)
    {
      const RhyDraftPaint pen = { .colour = { 0.84, 0.37, 0.0, 1.0 }, .width_mm = MARK_LINE_MM };
      rhy_draft_open (draft, "mark");
      rhy_draft_add_path (draft, line (-MARK_ARM_MM, 0.0, MARK_ARM_MM, 0.0), pen);
      rhy_draft_add_path (draft, line (0.0, -MARK_ARM_MM, 0.0, MARK_ARM_MM), pen);
      rhy_draft_close (draft);
    }
  return rhy_draft_write (draft, format, options->dpi, error);
}

/* --- pattern -------------------------------------------------------------- */

/* What the pattern's lines are made of: the unroll, its wall, and where the
 * paper is cut: opposite the artwork, where a join shows least. */
typedef struct
{
  RhyMap  *unroll;
  RhyWall *wall;
  double   from_rad, to_rad;
} Sheet;

static RhyPoint
on_page (const Sheet *sheet,
         double       s,
         double       angle)
{
  RhyPoint p = { 0.0, 0.0 };
  rhy_map_point (sheet->unroll, (RhyPoint) { s, angle }, &p);
  return (RhyPoint) { p.x, -p.y };
}

/* Along a parallel the pattern runs a circle at an even pace, so a cubic with
 * handles of 4/3 tan (turn/4) radii is within 5e-9 radii of it for a step of an
 * eighth of a circle (the error grows as the sixth power of the step, from
 * 2.7e-4 at a quarter: 2.7e-4/64 = 4.3e-6 at an eighth; 16 steps and more a
 * turn are used, so 7e-8 and less). tan(x)/x is 1 at 0: a cylinder's parallels
 * come out as straight lines. */
static void
add_parallel (const Sheet *sheet,
              RhyPath     *path,
              double       s,
              double       from,
              double       to)
{
  const int steps = 16;
  const double step = (to - from) / steps;
  double s_in[17], a_in[17], x[17], y[17];
  RhyJacobian j[17];

  for (int i = 0; i <= steps; i++)
    {
      s_in[i] = s;
      a_in[i] = from + i * step;
    }
  rhy_map_jacobian (sheet->unroll, (gsize) steps + 1, s_in, a_in, x, y, j, NULL);
  if (path->n_verbs == 0)
    rhy_path_move_to (path, x[0], -y[0]);
  else
    rhy_path_line_to (path, x[0], -y[0]);
  for (int i = 0; i < steps; i++)
    {
      const double turn = atan2 (j[i].xy * j[i + 1].yy - j[i].yy * j[i + 1].xy,
                                 j[i].xy * j[i + 1].xy + j[i].yy * j[i + 1].yy);
      const double q = 0.25 * turn;
      const double arm = step / 3.0 * (fabs (q) > 1e-8 ? tan (q) / q : 1.0);
      rhy_path_cubic_to (path, x[i] + arm * j[i].xy, -(y[i] + arm * j[i].yy),
                         x[i + 1] - arm * j[i + 1].xy, -(y[i + 1] - arm * j[i + 1].yy),
                         x[i + 1], -y[i + 1]);
    }
}

static RhyPath *
outline_of (const Sheet *sheet)
{
  RhyPath *path = rhy_path_new ();
  add_parallel (sheet, path, 0.0, sheet->from_rad, sheet->to_rad);
  add_parallel (sheet, path, rhy_wall_get_length (sheet->wall), sheet->to_rad, sheet->from_rad);
  rhy_path_close (path);
  return path;
}

static RhyPath *
meridian (const Sheet *sheet,
          double       angle)
{
  const RhyPoint a = on_page (sheet, 0.0, angle);
  const RhyPoint b = on_page (sheet, rhy_wall_get_length (sheet->wall), angle);
  return line (a.x, a.y, b.x, b.y);
}

/* The front line may fall outside one turn about the artwork: bring it in. */
static double
front_angle (const Sheet *sheet)
{
  const double turns = ceil ((sheet->from_rad - 1e-9) / (2.0 * G_PI));
  return 2.0 * G_PI * turns;
}

/* Heights as a scale along the left end, where the artwork never is: ticks every
 * 5 mm, longer and labelled at tens; lettering follows the parallel, so it reads
 * level on the vessel. */
static void
add_heights (RhyDraft    *draft,
             const Sheet *sheet)
{
  const RhyRing low = rhy_wall_at (sheet->wall, 0.0);
  const RhyRing high = rhy_wall_at (sheet->wall, rhy_wall_get_length (sheet->wall));
  const RhyDraftPaint pen = { .colour = GUIDE, .width_mm = 0.15 };

  for (int i = (int) ceil (low.z_mm / 5.0 + 1e-9); i * 5.0 < high.z_mm - 1e-6; i++)
    {
      RhyRing ring;
      if (!rhy_wall_at_height (sheet->wall, i * 5.0, &ring))
        continue;
      const gboolean ten = i % 2 == 0;
      const double tick = (ten ? 4.0 : 2.0) / ring.r_mm;
      const RhyPoint a = on_page (sheet, ring.s_mm, sheet->from_rad);
      const RhyPoint b = on_page (sheet, ring.s_mm, sheet->from_rad + tick);
      rhy_draft_add_path (draft, line (a.x, a.y, b.x, b.y), pen);
      if (!ten)
        continue;
      Digits digits;
      const RhyPoint at = on_page (sheet, ring.s_mm, sheet->from_rad + 5.0 / ring.r_mm);
      const double turn = atan2 (b.y - a.y, b.x - a.x);
      /* Down by a third of the letters' size: digits stand in the middle of the tick. */
      rhy_draft_add_text (draft, at.x - sin (turn), at.y + cos (turn), 2.8, RHY_TEXT_START, turn, GUIDE,
                          say (digits, i * 5.0, 0));
    }
}

/* The front line from base to rim, named at its foot. */
static void
add_front (RhyDraft    *draft,
           const Sheet *sheet,
           double       front)
{
  const RhyRing low = rhy_wall_at (sheet->wall, 0.0);
  const RhyPoint foot = on_page (sheet, 3.0, front + 1.5 / low.r_mm);
  const RhyPoint beside = on_page (sheet, 3.0, front + 5.0 / low.r_mm);
  rhy_draft_add_path (draft, meridian (sheet, front),
                      (RhyDraftPaint) { .colour = GUIDE, .width_mm = 0.15, .dash_mm = 2.0 });
  rhy_draft_add_text (draft, foot.x, foot.y, 2.8, RHY_TEXT_START,
                      atan2 (beside.y - foot.y, beside.x - foot.x), GUIDE, "front");
}

/* Greatest departure of paper from wall, as a scale along the parallels (along
 * the meridians the unroll is true): 0 on a cone. */
static double
paper_stretch (const Sheet *sheet)
{
  enum { N = 200 };
  double s[N + 1], a[N + 1], x[N + 1], y[N + 1];
  RhyJacobian j[N + 1];
  double worst = 0.0;

  for (int i = 0; i <= N; i++)
    {
      s[i] = rhy_wall_get_length (sheet->wall) * i / N;
      a[i] = 0.0;
    }
  rhy_map_jacobian (sheet->unroll, N + 1, s, a, x, y, j, NULL);
  for (int i = 0; i <= N; i++)
    {
      const double k = hypot (j[i].xy, j[i].yy) / rhy_wall_at (sheet->wall, s[i]).r_mm;
      worst = fabs (k - 1.0) > fabs (worst) ? k - 1.0 : worst;
    }
  return worst;
}

#define MARGIN_MM 8.0
#define LETTER_MM 3.6

/* A 100 mm bar and a 50 mm square: a printer's scale is seen with a ruler
 * before anything is cut, in both directions. */
static void
add_check (RhyDraft *draft,
           double    x,
           double    y)
{
  const RhyDraftPaint pen = { .colour = CUT, .width_mm = 0.15 };
  rhy_draft_open (draft, "scale");
  rhy_draft_add_path (draft, line (x, y, x + 100.0, y), pen);
  for (int i = 0; i <= 10; i++)
    rhy_draft_add_path (draft, line (x + 10.0 * i, y - (i % 5 == 0 ? 4.0 : 2.0), x + 10.0 * i, y), pen);
  rhy_draft_add_text (draft, x, y + 4.5, LETTER_MM, RHY_TEXT_START, 0.0, CUT, "0");
  rhy_draft_add_text (draft, x + 100.0, y + 4.5, LETTER_MM, RHY_TEXT_MIDDLE, 0.0, CUT, "100 mm");

  RhyPath *square = rhy_path_new ();
  rhy_path_move_to (square, x + 112.0, y - 4.0);
  rhy_path_line_to (square, x + 162.0, y - 4.0);
  rhy_path_line_to (square, x + 162.0, y + 46.0);
  rhy_path_line_to (square, x + 112.0, y + 46.0);
  rhy_path_close (square);
  rhy_draft_add_path (draft, square, pen);
  rhy_draft_add_text (draft, x + 137.0, y + 22.5, LETTER_MM, RHY_TEXT_MIDDLE, 0.0, CUT, "50 x 50 mm");
  rhy_draft_close (draft);
}

static void
add_notes (RhyDraft   *draft,
           double      x,
           double      y,
           const char *title,
           double      stretch)
{
  Digits digits;
  g_autofree char *last = NULL;
  if (fabs (stretch) < 5e-5)
    last = g_strdup ("The paper lies on this wall without stretch.");
  else
    last = g_strdup_printf ("This wall is curved: no exact pattern. Paper is up to %s %% too %s.",
                            say (digits, 100.0 * fabs (stretch), 1), stretch > 0.0 ? "wide" : "narrow");
  const char *const lines[] = {
    "Print at 100 % (actual size).",
    "Measure the bar and the square first.",
    "Cut along the solid outline, wrap it round",
    "with the print outside until the ends meet.",
    "Front line to the front, lower edge to the base.",
    "The scale at the left end is height above the base, mm.",
    last,
  };

  rhy_draft_open (draft, "notes");
  rhy_draft_add_text (draft, x, y, 5.0, RHY_TEXT_START, 0.0, CUT, title);
  for (guint i = 0; i < G_N_ELEMENTS (lines); i++)
    rhy_draft_add_text (draft, x, y + 18.5 + 5.0 * i, LETTER_MM, RHY_TEXT_START, 0.0, CUT, lines[i]);
  rhy_draft_close (draft);
}

GBytes *
rhy_drawing_pattern (RhyPlan                 *plan,
                     RhyFormat                format,
                     const RhyDrawingOptions *options,
                     GError                 **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyDrawingOptions defaults = RHY_DRAWING_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_PATTERN, NULL, error);
  if (bent == NULL)
    return NULL;
  g_autoptr (RhyArtwork) art = rhy_artwork_transformed (bent, (RhyAffine) { 1.0, 0.0, 0.0, -1.0, 0.0, 0.0 });

  const double middle = rhy_plan_get_numbers (plan)->anchor.angle;
  const Sheet sheet = { rhy_plan_get_unroll (plan), rhy_plan_get_wall (plan), middle - G_PI, middle + G_PI };
  const double front = front_angle (&sheet);
  RhyPath *outline = outline_of (&sheet);
  const RhyBounds wall_box = rhy_path_get_bounds (outline);
  const double stretch = paper_stretch (&sheet);

  const double width = MAX (wall_box.max_x - wall_box.min_x, 165.0);
  const double centre = 0.5 * (wall_box.min_x + wall_box.max_x);
  const double left = centre - 0.5 * width;
  const RhyBounds page = {
    floor (left - MARGIN_MM), floor (wall_box.min_y - MARGIN_MM),
    ceil (left + width + MARGIN_MM), ceil (wall_box.max_y + MARGIN_MM + 62.0),
  };

  g_autofree char *title = title_for (plan, "flat pattern, 1:1");
  g_autofree char *description = g_strdup_printf (
    "Flat pattern of the wall in true millimetres: print at 100 %%, do not scale. (0, 0) is the front "
    "at the base. %s", rhy_wall_is_cone (sheet.wall) ? "Exact for this wall." : "Not exact: the wall is curved.");
  g_autoptr (RhyDraft) draft = rhy_draft_new (page, title, description);
  rhy_draft_open (draft, "cut");
  rhy_draft_add_path (draft, outline, (RhyDraftPaint) { .colour = CUT, .width_mm = 0.2 });
  rhy_draft_close (draft);
  rhy_draft_open (draft, "guides");
  add_front (draft, &sheet, front);
  add_heights (draft, &sheet);
  rhy_draft_close (draft);
  rhy_draft_open (draft, "ink");
  rhy_draft_add_artwork (draft, art);
  rhy_draft_close (draft);
  add_notes (draft, left, wall_box.max_y + MARGIN_MM + 6.0, title, stretch);
  add_check (draft, left, wall_box.max_y + MARGIN_MM + 15.0);
  return rhy_draft_write (draft, format, options->dpi, error);
}

/* --- saving --------------------------------------------------------------- */

static gboolean
write_all (int         fd,
           GBytes     *bytes,
           const char *name,
           GError    **error)
{
  gsize left;
  const char *p = g_bytes_get_data (bytes, &left);
  while (left > 0)
    {
      const gssize n = write (fd, p, left);
      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        {
          const int code = errno;
          g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (code), "%s: %s", name, g_strerror (code));
          return FALSE;
        }
      p += n;
      left -= (gsize) n;
    }
  return TRUE;
}

static gboolean
fail (GError    **error,
      const char *name)
{
  const int code = errno;
  g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (code), "%s: %s", name, g_strerror (code));
  return FALSE;
}

/* A device or a pipe has nothing to keep whole, and must not be renamed over. */
static gboolean
write_in_place (GBytes     *bytes,
                const char *path,
                GError    **error)
{
  const int fd = open (path, O_WRONLY | O_CLOEXEC);
  if (fd < 0)
    return fail (error, path);
  const gboolean ok = write_all (fd, bytes, path, error);
  if (close (fd) != 0 && ok)
    return fail (error, path);
  return ok;
}

/* @mode: (nullable): of the file that is replaced; a new one gets what the
 * process's umask leaves. */
static gboolean
write_and_rename (GBytes       *bytes,
                  const char   *path,
                  const mode_t *mode,
                  GError      **error)
{
  g_autofree char *temporary = g_strconcat (path, ".XXXXXX", NULL);
  const int fd = g_mkstemp_full (temporary, O_WRONLY | O_CLOEXEC, 0666);
  if (fd < 0)
    {
      g_autofree char *folder = g_path_get_dirname (path);
      return fail (error, errno == ENOENT || errno == EACCES || errno == EROFS || errno == ENOTDIR ? folder : path);
    }

  gboolean ok = write_all (fd, bytes, path, error);
  if (ok && ((mode != NULL && fchmod (fd, *mode) != 0) || fsync (fd) != 0))
    ok = fail (error, path);
  if (close (fd) != 0 && ok)
    ok = fail (error, path);
  if (ok && rename (temporary, path) != 0)
    ok = fail (error, path);
  if (!ok)
    unlink (temporary);
  return ok;
}

gboolean
rhy_drawing_save (GBytes     *bytes,
                  const char *path,
                  GError    **error)
{
  g_return_val_if_fail (bytes != NULL && path != NULL, FALSE);

  if (strcmp (path, "-") == 0)
    return write_all (STDOUT_FILENO, bytes, "standard output", error);

  /* A link stays a link: the file it leads to is replaced. */
  char *resolved = realpath (path, NULL);
  g_autofree char *target = g_strdup (resolved != NULL ? resolved : path);
  free (resolved);

  struct stat st;
  if (stat (target, &st) != 0)
    return write_and_rename (bytes, target, NULL, error);
  if (S_ISDIR (st.st_mode))
    {
      errno = EISDIR;
      return fail (error, target);
    }
  if (!S_ISREG (st.st_mode))
    return write_in_place (bytes, target, error);
  const mode_t mode = st.st_mode & 07777;
  return write_and_rename (bytes, target, &mode, error);
}
