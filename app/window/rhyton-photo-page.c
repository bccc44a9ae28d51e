/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-photo-page.h"

#include <math.h>
#include <string.h>

#include "rhyton-dialogs.h"
#include "rhyton-howto.h"
#include "rhyton-measure-entry.h"
#include "rhyton-sketch.h"
#include "rhyton-worker.h"

typedef enum { MARK_BASE, MARK_RIM, MARK_DIAMETER, N_MARKS } Mark;
typedef enum { MEASURE_HEIGHT, MEASURE_DIAMETER, MEASURE_DISTANCE, N_MEASURES } Measure;

static const char *const mark_names[N_MARKS] = { "Base mark", "Rim mark", "Diameter mark" };
static const char *const measure_names[N_MEASURES] = { "Height, base to rim", "Diameter at its mark", "Camera to axis" };
static const char *const measure_tips[N_MEASURES] = {
  "Along the axis, from the level of the base mark to that of the rim mark.",
  "Outside, by caliper, at the height of the diameter mark. May be left empty.",
  "From the camera's lens to the vessel's axis. May be left empty: then the edges of base and rim tell, where they can.",
};

static const char *const measure_topics[N_MEASURES] = { "overall", "diameter", "camera" };

struct _RhytonPhotoPage
{
  GtkWindow       parent_instance;

  /* Template children */
  GtkWidget      *picture;
  GtkWidget      *marks;
  GtkWidget      *form;
  GtkWidget      *choose;
  GtkWidget      *measures;
  GtkWidget      *text;
  GtkWidget      *take;

  /* Owned */
  RhytonDocument *document;
  RhytonWorker   *worker;
  RhyRaster      *raster;
  char           *path;
  char           *wanted;       /* a picture to read still */
  RhyPhotoProfile *profile;

  /* Borrowed from the template's containers */
  GtkWidget      *handles[N_MARKS];
  GtkWidget      *entries[N_MEASURES];

  RhyPoint        at[2];        /* base and rim, pixels */
  double          share;        /* of the axis, where the diameter was measured */
  RhyPoint        grabbed;      /* where a drag began, pixels */
};

G_DEFINE_FINAL_TYPE (RhytonPhotoPage, rhyton_photo_page, GTK_TYPE_WINDOW)

/* ---- work ---- */

typedef struct
{
  char             *path;       /* a picture to read; NULL: @raster */
  RhyRaster        *raster;
  RhyPoint          at[2];
  RhyPhotoKnown     known;
  RhyPhotoDiameter  diameter;
} Input;

typedef struct
{
  char             *path;
  RhyRaster        *raster;     /* newly read */
  RhyPhotoProfile  *profile;
  char             *trouble;
} Outcome;

static void
input_free (gpointer data)
{
  Input *input = data;
  g_free (input->path);
  g_clear_pointer (&input->raster, rhy_raster_unref);
  g_free (input);
}

static void
outcome_free (gpointer data)
{
  Outcome *outcome = data;
  g_free (outcome->path);
  g_clear_pointer (&outcome->raster, rhy_raster_unref);
  rhy_photo_profile_free (outcome->profile);
  g_free (outcome->trouble);
  g_free (outcome);
}

static double
measure (RhytonPhotoPage *self,
         Measure          which)
{
  const double value = rhyton_measure_entry_get_value (RHYTON_MEASURE_ENTRY (self->entries[which]));
  return isnan (value) ? 0.0 : value;
}

static gpointer
gather (gpointer owner)
{
  RhytonPhotoPage *self = owner;
  const double height = measure (self, MEASURE_HEIGHT), across = measure (self, MEASURE_DIAMETER);
  if (self->wanted == NULL && (self->raster == NULL || !(height > 0.0)))
    return NULL;
  Input *input = g_new0 (Input, 1);
  input->path = g_strdup (self->wanted);
  if (input->path == NULL)
    input->raster = rhy_raster_ref (self->raster);
  input->at[0] = self->at[0];
  input->at[1] = self->at[1];
  input->known = (RhyPhotoKnown) { .height_mm = height, .distance_mm = measure (self, MEASURE_DISTANCE),
                                   .n_diameters = across > 0.0 };
  input->diameter = (RhyPhotoDiameter) { .diameter_mm = across, .height_mm = self->share * height };
  return input;
}

static gpointer
work (gpointer      data,
      GCancellable *cancellable)
{
  Input *input = data;
  Outcome *outcome = g_new0 (Outcome, 1);
  g_autoptr (GError) error = NULL;
  if (input->path != NULL)
    {
      outcome->path = g_strdup (input->path);
      outcome->raster = rhy_intake_picture (input->path, NULL, cancellable, &error);
    }
  else
    {
      g_autoptr (RhyOutline) outline = rhy_silhouette_find (input->raster, input->at[0], input->at[1], &error);
      input->known.diameters = &input->diameter;
      if (outline != NULL)
        outcome->profile = rhy_photo_profile_new (outline, &input->known, &error);
    }
  if (error != NULL)
    outcome->trouble = g_strdup (error->message);
  return outcome;
}

static void place_handles (RhytonPhotoPage *self);

static void
show_text (RhytonPhotoPage *self)
{
  g_autofree char *words = NULL;
  if (self->profile != NULL)
    words = g_strchomp (rhy_photo_profile_describe (self->profile));
  else if (self->raster == NULL)
    words = g_strdup ("");
  else if (!(measure (self, MEASURE_HEIGHT) > 0.0))
    words = g_strdup ("Enter the height between the marks.");
  else
    words = g_strdup ("Looking for the outline…");
  gtk_label_set_label (GTK_LABEL (self->text), words);
  gtk_widget_set_sensitive (self->take, self->profile != NULL);
  gtk_widget_queue_draw (self->picture);
}

static void
done (gpointer owner,
      gpointer result)
{
  RhytonPhotoPage *self = owner;
  Outcome *outcome = result;
  g_clear_pointer (&self->profile, rhy_photo_profile_free);
  if (outcome->path != NULL && g_strcmp0 (outcome->path, self->wanted) == 0)
    g_clear_pointer (&self->wanted, g_free);
  if (outcome->raster != NULL)
    {
      g_clear_pointer (&self->raster, rhy_raster_unref);
      self->raster = g_steal_pointer (&outcome->raster);
      g_free (self->path);
      self->path = g_steal_pointer (&outcome->path);
      const double width = rhy_raster_get_width (self->raster), height = rhy_raster_get_height (self->raster);
      self->at[MARK_BASE] = (RhyPoint) { 0.5 * width, 0.85 * height };
      self->at[MARK_RIM] = (RhyPoint) { 0.5 * width, 0.15 * height };
      rhyton_worker_request (self->worker);
    }
  self->profile = g_steal_pointer (&outcome->profile);
  show_text (self);
  if (outcome->trouble != NULL)
    gtk_label_set_label (GTK_LABEL (self->text), outcome->trouble);
  place_handles (self);
  outcome_free (outcome);
}

static const RhytonWorkerClass worker_class = { gather, work, done, input_free, outcome_free };

static void
search_anew (RhytonPhotoPage *self)
{
  g_clear_pointer (&self->profile, rhy_photo_profile_free);
  show_text (self);
  place_handles (self);
  rhyton_worker_request (self->worker);
}

/* ---- the picture ---- */

/* From the picture's pixels to the widget's. */
static double
scale_of (RhytonPhotoPage *self,
          RhyPoint        *corner)
{
  const double width = gtk_widget_get_width (self->picture), height = gtk_widget_get_height (self->picture);
  *corner = (RhyPoint) { 0.0, 0.0 };
  if (self->raster == NULL)
    return 1.0;
  const double w = rhy_raster_get_width (self->raster), h = rhy_raster_get_height (self->raster);
  const double scale = MIN (width / w, height / h);
  *corner = (RhyPoint) { 0.5 * (width - scale * w), 0.5 * (height - scale * h) };
  return scale;
}

static RhyPoint
mark_at (RhytonPhotoPage *self,
         Mark             mark)
{
  if (mark != MARK_DIAMETER)
    return self->at[mark];
  const RhyPoint a = self->at[MARK_BASE], b = self->at[MARK_RIM];
  return (RhyPoint) { a.x + self->share * (b.x - a.x), a.y + self->share * (b.y - a.y) };
}

static void
place_handles (RhytonPhotoPage *self)
{
  RhyPoint corner;
  const double scale = scale_of (self, &corner);
  for (int m = 0; m < N_MARKS; m++)
    {
      const RhyPoint at = mark_at (self, m);
      GtkRequisition size;
      gtk_widget_set_visible (self->handles[m], self->raster != NULL);
      gtk_widget_get_preferred_size (self->handles[m], &size, NULL);
      /* Beside the place they point at, which stays in sight. */
      const double right = m == MARK_DIAMETER ? 6.0 : -0.5 * size.width;
      const double down = m == MARK_BASE ? 6.0 : m == MARK_RIM ? -6.0 - size.height : -0.5 * size.height;
      gtk_fixed_move (GTK_FIXED (self->marks), self->handles[m], corner.x + scale * at.x + right, corner.y + scale * at.y + down);
    }
}

/* A mark moved to a place in the picture; the diameter's keeps to the axis. */
static void
move_mark (RhytonPhotoPage *self,
           Mark             mark,
           RhyPoint         to)
{
  if (self->raster == NULL)
    return;
  const RhyPoint a = self->at[MARK_BASE], b = self->at[MARK_RIM];
  if (mark == MARK_DIAMETER)
    {
      const double dx = b.x - a.x, dy = b.y - a.y;
      const double share = ((to.x - a.x) * dx + (to.y - a.y) * dy) / (dx * dx + dy * dy);
      self->share = CLAMP (share, 0.0, 1.0);
    }
  else
    self->at[mark] = (RhyPoint) { CLAMP (to.x, 0.0, rhy_raster_get_width (self->raster)),
                                  CLAMP (to.y, 0.0, rhy_raster_get_height (self->raster)) };
  search_anew (self);
}

static Mark
mark_of (RhytonPhotoPage *self,
         GtkEventController *controller)
{
  GtkWidget *widget = gtk_event_controller_get_widget (controller);
  for (int m = 0; m < N_MARKS; m++)
    if (self->handles[m] == widget)
      return m;
  return MARK_BASE;
}

static void
on_drag_begin (GtkGestureDrag  *drag,
               double           x,
               double           y,
               RhytonPhotoPage *self)
{
  const Mark mark = mark_of (self, GTK_EVENT_CONTROLLER (drag));
  gtk_widget_grab_focus (self->handles[mark]);
  gtk_gesture_set_state (GTK_GESTURE (drag), GTK_EVENT_SEQUENCE_CLAIMED);
}

/* The handle moves along, so that its own coordinates say how far the pointer has left it. */
static void
on_drag_update (GtkGestureDrag  *drag,
                double           dx,
                double           dy,
                RhytonPhotoPage *self)
{
  const Mark mark = mark_of (self, GTK_EVENT_CONTROLLER (drag));
  RhyPoint corner;
  const double scale = scale_of (self, &corner);
  const RhyPoint at = mark_at (self, mark);
  move_mark (self, mark, (RhyPoint) { at.x + dx / scale, at.y + dy / scale });
}

static gboolean
on_key (GtkEventControllerKey *controller,
        guint                  key,
        guint                  code,
        GdkModifierType        state,
        RhytonPhotoPage       *self)
{
  const Mark mark = mark_of (self, GTK_EVENT_CONTROLLER (controller));
  const double step = state & GDK_SHIFT_MASK ? 10.0 : 1.0;
  RhyPoint at = mark_at (self, mark);
  switch (key)
    {
    case GDK_KEY_Left: at.x -= step; break;
    case GDK_KEY_Right: at.x += step; break;
    case GDK_KEY_Up: at.y -= step; break;
    case GDK_KEY_Down: at.y += step; break;
    default: return GDK_EVENT_PROPAGATE;
    }
  move_mark (self, mark, at);
  return GDK_EVENT_STOP;
}

/* Seen on light and dark alike: a dark line within a light one. */
static void
stroke_twice (cairo_t *cr,
              double   scale)
{
  cairo_set_line_width (cr, 3.0 / scale);
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.75);
  cairo_stroke_preserve (cr);
  cairo_set_line_width (cr, 1.2 / scale);
  cairo_set_source_rgb (cr, 0.75, 0.1, 0.35);
  cairo_stroke (cr);
}

static void
draw (GtkDrawingArea *area,
      cairo_t        *cr,
      int             width,
      int             height,
      gpointer        data)
{
  RhytonPhotoPage *self = data;
  if (self->raster == NULL)
    {
      /* How it is taken. */
      const double w = MIN (0.85 * width, 2.0 * RHYTON_SKETCH_WIDTH);
      cairo_translate (cr, 0.5 * (width - w), 0.0);
      rhyton_sketch_show (rhyton_sketch_camera, GTK_WIDGET (area), cr, w, height);
      return;
    }
  RhyPoint corner;
  const double scale = scale_of (self, &corner);
  const int w = (int) rhy_raster_get_width (self->raster), h = (int) rhy_raster_get_height (self->raster);
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((unsigned char *) rhy_raster_get_pixels (self->raster),
                                                                  CAIRO_FORMAT_ARGB32, w, h, 4 * w);
  cairo_translate (cr, corner.x, corner.y);
  cairo_scale (cr, scale, scale);
  cairo_set_source_surface (cr, surface, 0.0, 0.0);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_BILINEAR);
  cairo_paint (cr);
  cairo_surface_destroy (surface);

  const RhyPoint base = self->profile != NULL ? self->profile->axis[0] : self->at[MARK_BASE];
  const RhyPoint rim = self->profile != NULL ? self->profile->axis[1] : self->at[MARK_RIM];
  cairo_move_to (cr, base.x, base.y);
  cairo_line_to (cr, rim.x, rim.y);
  stroke_twice (cr, scale);
  /* Where the marks stand, level across. */
  const RhyPoint a = self->at[MARK_BASE], b = self->at[MARK_RIM];
  const double length = MAX (hypot (b.x - a.x, b.y - a.y), 1.0);
  const RhyPoint across = { (a.y - b.y) / length * 24.0 / scale, (b.x - a.x) / length * 24.0 / scale };
  for (int m = 0; m < N_MARKS; m++)
    {
      const RhyPoint at = mark_at (self, m);
      cairo_move_to (cr, at.x - across.x, at.y - across.y);
      cairo_line_to (cr, at.x + across.x, at.y + across.y);
    }
  stroke_twice (cr, scale);
  for (gsize i = 0; self->profile != NULL && i < self->profile->n_walls; i++)
    {
      const RhyPoint at = self->profile->wall_px[i];
      const RhyPoint last = i > 0 ? self->profile->wall_px[i - 1] : at;
      /* Gaps, where a handle hides the wall, stay gaps. */
      if (i > 0 && hypot (at.x - last.x, at.y - last.y) < 0.05 * hypot (rim.x - base.x, rim.y - base.y))
        cairo_line_to (cr, at.x, at.y);
      else
        cairo_move_to (cr, at.x, at.y);
    }
  stroke_twice (cr, scale);
}

/* ---- buttons ---- */

static void
on_chosen (GFile   *file,
           gpointer data)
{
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;
  if (path != NULL)
    rhyton_photo_page_open (data, path);
}

static void
on_choose (RhytonPhotoPage *self)
{
  rhyton_dialogs_choose_file (GTK_WINDOW (self), "Photograph of the vessel", RHYTON_CHOICE_ARTWORK, NULL, NULL, on_chosen, self);
}

/* Beside the job, or beside the picture until the job has a place; never over another file. */
static char *
profile_path (RhytonPhotoPage *self)
{
  const char *job = rhyton_document_get_path (self->document);
  g_autofree char *folder = g_path_get_dirname (job != NULL ? job : self->path);
  g_autofree char *name = g_path_get_basename (self->path);
  char *dot = strrchr (name, '.');
  if (dot != NULL && dot != name)
    *dot = '\0';
  for (int i = 1;; i++)
    {
      g_autofree char *file = i == 1 ? g_strconcat (name, "-profile.csv", NULL)
                                     : g_strdup_printf ("%s-profile-%d.csv", name, i);
      char *path = g_build_filename (folder, file, NULL);
      if (!g_file_test (path, G_FILE_TEST_EXISTS))
        return path;
      g_free (path);
    }
}

static gboolean
take_profile (RhytonPhotoPage *self,
              GError         **error)
{
  g_autofree char *path = profile_path (self);
  g_autofree char *photo = g_path_get_basename (self->path);
  g_autofree char *text = rhy_photo_profile_to_text (self->profile, photo);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  if (!rhy_drawing_save (bytes, path, error))
    return FALSE;

  /* A key file's value is escaped text. */
  g_autoptr (GKeyFile) scratch = g_key_file_new ();
  g_autofree char *name = rhyton_document_get_path (self->document) != NULL ? g_path_get_basename (path) : g_strdup (path);
  g_key_file_set_string (scratch, "Vessel", "Profile", name);
  g_autofree char *value = g_key_file_get_value (scratch, "Vessel", "Profile", NULL);
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (number, sizeof number, "%.2f", MAX (self->profile->typical_u_mm, 0.01));
  const RhytonEdit edits[] = { { "Vessel", "Profile", value }, { "Vessel", "DiameterUncertainty", number } };
  return rhyton_document_change (self->document, "Profile from a photograph", NULL, edits, G_N_ELEMENTS (edits), error);
}

static void
on_take (RhytonPhotoPage *self)
{
  g_autoptr (GError) error = NULL;
  if (self->profile == NULL)
    return;
  if (take_profile (self, &error))
    gtk_window_close (GTK_WINDOW (self));
  else
    gtk_label_set_label (GTK_LABEL (self->text), error->message);
}

static void
on_commit (RhytonMeasureEntry *entry,
           double              value,
           RhytonPhotoPage    *self)
{
  if (!isnan (value) && !(value > 0.0))
    {
      rhyton_measure_entry_refuse (entry, "It must be more than 0.");
      return;
    }
  rhyton_measure_entry_set_value (entry, value);
  search_anew (self);
}

/* ---- public ---- */

void
rhyton_photo_page_open (RhytonPhotoPage *self,
                        const char      *path)
{
  g_return_if_fail (RHYTON_IS_PHOTO_PAGE (self) && path != NULL);
  g_free (self->wanted);
  self->wanted = g_strdup (path);
  gtk_label_set_label (GTK_LABEL (self->text), "Reading the picture…");
  rhyton_worker_request (self->worker);
}

gboolean
rhyton_photo_page_is_busy (RhytonPhotoPage *self)
{
  return rhyton_worker_is_busy (self->worker);
}

void
rhyton_photo_page_set_marks (RhytonPhotoPage *self,
                             RhyPoint         base,
                             RhyPoint         rim)
{
  move_mark (self, MARK_BASE, base);
  move_mark (self, MARK_RIM, rim);
}

const char *
rhyton_photo_page_get_text (RhytonPhotoPage *self)
{
  return gtk_label_get_label (GTK_LABEL (self->text));
}

/* ---- construction ---- */

static void
add_handle (RhytonPhotoPage *self,
            Mark             mark)
{
  GtkWidget *handle = gtk_button_new ();
  gtk_widget_add_css_class (handle, "circular");
  gtk_widget_add_css_class (handle, "osd");
  gtk_widget_add_css_class (handle, "photo-mark");
  gtk_button_set_label (GTK_BUTTON (handle), mark == MARK_DIAMETER ? "◀" : mark == MARK_RIM ? "▼" : "▲");
  gtk_widget_set_tooltip_text (handle, mark_names[mark]);
  gtk_accessible_update_property (GTK_ACCESSIBLE (handle), GTK_ACCESSIBLE_PROPERTY_LABEL, mark_names[mark], -1);

  GtkGesture *drag = gtk_gesture_drag_new ();
  gtk_event_controller_set_propagation_phase (GTK_EVENT_CONTROLLER (drag), GTK_PHASE_CAPTURE);
  g_signal_connect (drag, "drag-begin", G_CALLBACK (on_drag_begin), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (on_drag_update), self);
  gtk_widget_add_controller (handle, GTK_EVENT_CONTROLLER (drag));
  GtkEventController *keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (handle, keys);

  gtk_widget_set_visible (handle, FALSE);
  gtk_fixed_put (GTK_FIXED (self->marks), handle, 0.0, 0.0);
  self->handles[mark] = handle;
}

static void
add_measure (RhytonPhotoPage *self,
             Measure          which)
{
  GtkWidget *label = gtk_label_new (measure_names[which]);
  GtkWidget *entry = rhyton_measure_entry_new ();
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  g_object_set (entry, "label", measure_names[which], "optional", TRUE, NULL);
  rhyton_measure_entry_set_value (RHYTON_MEASURE_ENTRY (entry), NAN);
  gtk_widget_set_tooltip_text (entry, measure_tips[which]);
  g_signal_connect (entry, "commit", G_CALLBACK (on_commit), self);
  gtk_grid_attach (GTK_GRID (self->measures), label, 0, which, 1, 1);
  gtk_grid_attach (GTK_GRID (self->measures), entry, 1, which, 1, 1);
  gtk_grid_attach (GTK_GRID (self->measures), rhyton_howto_new (measure_topics[which]), 2, which, 1, 1);
  self->entries[which] = entry;
}

static void
rhyton_photo_page_dispose (GObject *object)
{
  RhytonPhotoPage *self = RHYTON_PHOTO_PAGE (object);
  g_clear_pointer (&self->worker, rhyton_worker_free);
  g_clear_pointer (&self->raster, rhy_raster_unref);
  g_clear_pointer (&self->profile, rhy_photo_profile_free);
  g_clear_object (&self->document);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PHOTO_PAGE);
  G_OBJECT_CLASS (rhyton_photo_page_parent_class)->dispose (object);
}

static void
rhyton_photo_page_finalize (GObject *object)
{
  RhytonPhotoPage *self = RHYTON_PHOTO_PAGE (object);
  g_free (self->path);
  g_free (self->wanted);
  G_OBJECT_CLASS (rhyton_photo_page_parent_class)->finalize (object);
}

static void
rhyton_photo_page_class_init (RhytonPhotoPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = rhyton_photo_page_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_photo_page_finalize;

  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-photo-page.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, picture);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, marks);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, form);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, choose);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, measures);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, text);
  gtk_widget_class_bind_template_child (widget_class, RhytonPhotoPage, take);
  gtk_widget_class_bind_template_callback (widget_class, on_choose);
  gtk_widget_class_bind_template_callback (widget_class, on_take);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
rhyton_photo_page_init (RhytonPhotoPage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->share = 0.5;
  self->worker = rhyton_worker_new (&worker_class, self);
  for (int m = 0; m < N_MARKS; m++)
    add_handle (self, m);
  for (int i = 0; i < N_MEASURES; i++)
    add_measure (self, i);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->picture), draw, self, NULL);
  g_signal_connect_swapped (self->picture, "resize", G_CALLBACK (place_handles), self);
}

GtkWidget *
rhyton_photo_page_new (GtkWindow      *parent,
                       RhytonDocument *document)
{
  RhytonPhotoPage *self = g_object_new (RHYTON_TYPE_PHOTO_PAGE, "transient-for", parent, NULL);
  self->document = g_object_ref (document);
  for (int i = 0; i < N_MEASURES; i++)
    g_object_set (self->entries[i], "inches", rhyton_document_get_inches (document), NULL);
  return GTK_WIDGET (self);
}
