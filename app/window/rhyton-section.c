/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-section.h"

#include <math.h>

#include "rhyton-look.h"
#include "rhyton-panel.h"

#define NATURAL_WIDTH  320
#define NATURAL_HEIGHT 280

struct _RhytonSection
{
  RhytonPart  parent_instance;

  /* Owned */
  RhySection *section;          /* nullable */
  RhyJob     *tried;            /* nullable */
  char       *trouble;
  int         marked;
  double      volume_ml;
};

enum { PICKED, RENEWED, N_SIGNALS };

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (RhytonSection, rhyton_section, RHYTON_TYPE_PART)

static char *
say_length (double   mm,
            gpointer document)
{
  return rhyton_panel_format_mm (document, mm);
}

static RhySectionLook
look_of (RhytonSection *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  RhySectionLook look = RHY_SECTION_LOOK_INIT;
  const PangoFontDescription *font = pango_context_get_font_description (gtk_widget_get_pango_context (widget));
  const double size = font != NULL ? (double) pango_font_description_get_size (font) / PANGO_SCALE : 0.0;

  rhyton_look_colours (widget, &look.ink, &look.paper, &look.accent);
  /* Points at 96 to the inch; a little smaller than the text around it. */
  if (size > 0.0)
    look.text_px = MAX (9.0, 0.9 * (pango_font_description_get_size_is_absolute (font) ? size : size * 96.0 / 72.0));
  look.scale = gtk_widget_get_scale_factor (widget);
  look.marked = self->marked;
  look.say = say_length;
  look.data = rhyton_part_get_document (RHYTON_PART (self));
  return look;
}

char *
rhyton_section_describe (RhytonSection *self)
{
  g_return_val_if_fail (RHYTON_IS_SECTION (self), NULL);
  const RhySectionLook look = look_of (self);
  return self->section != NULL ? rhy_section_describe (self->section, &look)
                               : g_strdup (self->trouble != NULL ? self->trouble : "");
}

char *
rhyton_section_describe_level (RhytonSection *self)
{
  g_return_val_if_fail (RHYTON_IS_SECTION (self), NULL);
  const RhySectionLook look = look_of (self);
  char *text = self->section != NULL ? rhy_section_describe_level (self->section, &look) : NULL;
  return text != NULL ? text : g_strdup ("");
}

static void
show (RhytonSection *self)
{
  g_autofree char *text = rhyton_section_describe (self);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), text);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
renew (RhytonSection *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyJob *job = self->tried != NULL ? self->tried : document != NULL ? rhyton_document_get_job (document) : NULL;
  g_autoptr (GError) error = NULL;
  RhySection *section = job != NULL ? rhy_section_new (job, self->volume_ml, &error) : NULL;

  if (section == NULL && self->tried != NULL)
    {
      g_clear_pointer (&self->tried, rhy_job_unref);
      return;
    }
  g_clear_pointer (&self->section, rhy_section_unref);
  g_clear_pointer (&self->trouble, g_free);
  self->section = section;
  if (error != NULL)
    self->trouble = rhyton_panel_explain (error);
  show (self);
  g_signal_emit (self, signals[RENEWED], 0);
}

void
rhyton_section_try (RhytonSection *self,
                    const RhyJob  *job)
{
  g_return_if_fail (RHYTON_IS_SECTION (self));

  if (job == NULL && self->tried == NULL)
    return;
  g_clear_pointer (&self->tried, rhy_job_unref);
  self->tried = job != NULL ? rhy_job_ref ((RhyJob *) job) : NULL;
  renew (self);
}

void
rhyton_section_mark (RhytonSection *self,
                     int            reading)
{
  g_return_if_fail (RHYTON_IS_SECTION (self));

  if (self->marked == reading)
    return;
  self->marked = reading;
  show (self);
}

void
rhyton_section_set_volume (RhytonSection *self,
                           double         ml)
{
  g_return_if_fail (RHYTON_IS_SECTION (self));

  if (self->volume_ml == ml)
    return;
  self->volume_ml = ml;
  renew (self);
}

static void
rhyton_section_job_changed (RhytonPart *part)
{
  RhytonSection *self = RHYTON_SECTION (part);
  g_clear_pointer (&self->tried, rhy_job_unref);
  renew (self);
}

static void
rhyton_section_snapshot (GtkWidget   *widget,
                         GtkSnapshot *snapshot)
{
  RhytonSection *self = RHYTON_SECTION (widget);
  const int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);

  if (width <= 0 || height <= 0)
    return;
  if (self->section == NULL)
    {
      rhyton_look_write (widget, snapshot, self->trouble);
      return;
    }
  const RhySectionLook look = look_of (self);
  const int scale = gtk_widget_get_scale_factor (widget);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width * scale, height * scale);
  rhy_section_render (self->section, &look, cairo_image_surface_get_data (surface), width * scale, height * scale,
                      cairo_image_surface_get_stride (surface));
  cairo_surface_mark_dirty (surface);
  cairo_surface_set_device_scale (surface, scale, scale);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0.0f, 0.0f, (float) width, (float) height));
  cairo_set_source_surface (cr, surface, 0.0, 0.0);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

static void
rhyton_section_measure (GtkWidget      *widget,
                        GtkOrientation  orientation,
                        int             for_size,
                        int            *minimum,
                        int            *natural,
                        int            *minimum_baseline,
                        int            *natural_baseline)
{
  const gboolean across = orientation == GTK_ORIENTATION_HORIZONTAL;
  *minimum = across ? 240 : NATURAL_HEIGHT;
  *natural = across ? NATURAL_WIDTH : NATURAL_HEIGHT;
  *minimum_baseline = *natural_baseline = -1;
}

static void
on_pressed (GtkGestureClick *gesture,
            int              n_press,
            double           x,
            double           y,
            RhytonSection   *self)
{
  const RhySectionLook look = look_of (self);
  const int scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  const int width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  const int reading = self->section != NULL ? rhy_section_pick (self->section, &look, width * scale, height * scale,
                                                                x * scale, y * scale) : -1;
  if (reading >= 0)
    g_signal_emit (self, signals[PICKED], 0, reading);
}

static void
rhyton_section_finalize (GObject *object)
{
  RhytonSection *self = RHYTON_SECTION (object);

  g_clear_pointer (&self->section, rhy_section_unref);
  g_clear_pointer (&self->tried, rhy_job_unref);
  g_free (self->trouble);
  G_OBJECT_CLASS (rhyton_section_parent_class)->finalize (object);
}

static void
rhyton_section_class_init (RhytonSectionClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = rhyton_section_finalize;
  widget_class->snapshot = rhyton_section_snapshot;
  widget_class->measure = rhyton_section_measure;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_section_job_changed;
  gtk_widget_class_set_css_name (widget_class, "vessel-section");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);

  signals[PICKED] = g_signal_new ("picked", RHYTON_TYPE_SECTION, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 1, G_TYPE_INT);
  signals[RENEWED] = g_signal_new ("renewed", RHYTON_TYPE_SECTION, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 0);
}

static void
rhyton_section_init (RhytonSection *self)
{
  GtkGesture *click = gtk_gesture_click_new ();

  self->marked = -1;
  g_signal_connect (click, "pressed", G_CALLBACK (on_pressed), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (click));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Section of the vessel", -1);
}
