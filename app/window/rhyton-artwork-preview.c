/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-preview.h"

#include "rhyton-panel.h"
#include "rhyton-worker.h"

#include <rhyton/thumbnail.h>

#define PICTURE_HEIGHT 190

struct _RhytonArtworkPreview
{
  RhytonPart      parent_instance;

  /* Template children */
  GtkWidget      *box;
  GtkWidget      *frame;
  GtkDrawingArea *picture;
  GtkWidget      *original;
  GtkWidget      *size;
  GtkWidget      *nodes;

  /* Owned */
  RhytonWorker   *worker;
  RhyRaster      *shown;
  gboolean        held;         /* the pointer holds the picture down: the original is looked at */
};

G_DEFINE_FINAL_TYPE (RhytonArtworkPreview, rhyton_artwork_preview, RHYTON_TYPE_PART)

typedef struct
{
  RhyPlan *plan;
  gsize    part;
  gboolean original;
  guint    width, height;       /* pixels of the screen */
} Order;

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->plan);
  g_free (order);
}

static gboolean
shows_original (const RhytonArtworkPreview *self)
{
  return self->held || gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->original));
}

static gpointer
gather (gpointer owner)
{
  RhytonArtworkPreview *self = owner;
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;
  const int width = gtk_widget_get_width (GTK_WIDGET (self->picture));
  const int height = gtk_widget_get_height (GTK_WIDGET (self->picture));
  const int scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));

  if (plan == NULL || rhyton_document_get_part (document) == NULL || width <= 0 || height <= 0)
    return NULL;
  Order *order = g_new (Order, 1);
  *order = (Order) { rhy_plan_ref (plan), rhyton_document_get_selected (document), shows_original (self),
                     (guint) MIN (width * scale, 4096), (guint) MIN (height * scale, 4096) };
  return order;
}

/* In a thread. */
static gpointer
work (gpointer      input,
      GCancellable *cancellable)
{
  const Order *order = input;
  return rhy_thumbnail_new (rhy_plan_get_part (order->plan, order->part), order->original, order->width, order->height, NULL);
}

static void
show (RhytonArtworkPreview *self,
      RhyRaster            *picture)
{
  g_clear_pointer (&self->shown, rhy_raster_unref);
  self->shown = picture;
  gtk_widget_queue_draw (GTK_WIDGET (self->picture));
}

static void
done (gpointer owner,
      gpointer result)
{
  show (owner, result);
}

static void
free_picture (gpointer picture)
{
  if (picture != NULL)
    rhy_raster_unref (picture);
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = work,
  .done = done,
  .free_input = free_order,
  .free_result = free_picture,
};

/* Returns: (transfer full): a surface over the picture's own pixels */
static cairo_surface_t *
surface_of (RhyRaster *picture)
{
  static const cairo_user_data_key_t key;
  const int width = (int) rhy_raster_get_width (picture);
  const int height = (int) rhy_raster_get_height (picture);
  /* A raster's rows follow each other as cairo's do, and are only read. */
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((guchar *) rhy_raster_get_pixels (picture),
                                                                  CAIRO_FORMAT_ARGB32, width, height, 4 * width);
  cairo_surface_set_user_data (surface, &key, rhy_raster_ref (picture), free_picture);
  return surface;
}

static void
draw (GtkDrawingArea *area,
      cairo_t        *cr,
      int             width,
      int             height,
      gpointer        data)
{
  RhytonArtworkPreview *self = data;

  if (self->shown == NULL)
    return;
  cairo_surface_t *surface = surface_of (self->shown);
  cairo_scale (cr, (double) width / rhy_raster_get_width (self->shown), (double) height / rhy_raster_get_height (self->shown));
  cairo_set_source_surface (cr, surface, 0.0, 0.0);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_NEAREST);
  cairo_paint (cr);
  cairo_surface_destroy (surface);
}

static void
on_resize (GtkDrawingArea       *area,
           int                   width,
           int                   height,
           RhytonArtworkPreview *self)
{
  rhyton_worker_request (self->worker);
}

static char *
describe_nodes (const RhyPlan *part)
{
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (part);
  RhyArtwork *source = rhy_plan_get_source (part);
  const gboolean is_picture = rhy_artwork_get_n_shapes (source) == 1 && rhy_artwork_get_shape (source, 0)->fill_paint != NULL;

  if (numbers->nodes_out == 0 || (is_picture && !rhy_plan_get_group (part)->trace))
    return g_strdup ("");
  if (is_picture)
    return g_strdup_printf ("Traced: %" G_GSIZE_FORMAT " lines and curves", numbers->nodes_out);
  return g_strdup_printf ("%" G_GSIZE_FORMAT " lines and curves, %" G_GSIZE_FORMAT " as inked",
                          numbers->nodes_in, numbers->nodes_out);
}

static void
rhyton_artwork_preview_changed (RhytonPart *part)
{
  RhytonArtworkPreview *self = RHYTON_ARTWORK_PREVIEW (part);
  const RhyPlan *plan = rhyton_document_get_part (rhyton_part_get_document (part));
  const RhyPlanNumbers *numbers = plan != NULL ? rhy_plan_get_numbers (plan) : NULL;
  const gboolean has_ink = numbers != NULL && numbers->width_mm > 0.0;
  g_autofree char *size = NULL;
  g_autofree char *nodes = has_ink ? describe_nodes (plan) : g_strdup ("");

  gtk_widget_set_visible (self->box, has_ink);
  if (!has_ink)
    {
      rhyton_worker_cancel (self->worker);
      show (self, NULL);
      return;
    }
  g_autofree char *width = rhyton_panel_format_length (part, numbers->width_mm);
  g_autofree char *height = rhyton_panel_format_length (part, numbers->height_mm);
  size = g_strdup_printf ("%s \u00d7 %s", width, height);
  gtk_label_set_label (GTK_LABEL (self->size), size);
  gtk_label_set_label (GTK_LABEL (self->nodes), nodes);
  gtk_widget_set_visible (self->nodes, *nodes != '\0');
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, size, -1);
  rhyton_worker_request (self->worker);
}

static void
on_original (RhytonArtworkPreview *self)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  shows_original (self) ? "The artwork as it came in" : "The artwork as it will be inked", -1);
  rhyton_worker_request (self->worker);
}

static void
on_pressed (GtkGestureClick      *click,
            int                   n,
            double                x,
            double                y,
            RhytonArtworkPreview *self)
{
  self->held = TRUE;
  on_original (self);
}

static void
on_released (RhytonArtworkPreview *self)
{
  if (!self->held)
    return;
  self->held = FALSE;
  on_original (self);
}

RhyRaster *
rhyton_artwork_preview_get_shown (RhytonArtworkPreview *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_PREVIEW (self), NULL);
  return self->shown;
}

gboolean
rhyton_artwork_preview_is_busy (RhytonArtworkPreview *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_PREVIEW (self), FALSE);
  return rhyton_worker_is_busy (self->worker);
}

static void
rhyton_artwork_preview_dispose (GObject *object)
{
  RhytonArtworkPreview *self = RHYTON_ARTWORK_PREVIEW (object);

  g_clear_pointer (&self->worker, rhyton_worker_free);
  g_clear_pointer (&self->shown, rhy_raster_unref);
  gtk_widget_dispose_template (GTK_WIDGET (self), RHYTON_TYPE_ARTWORK_PREVIEW);
  G_OBJECT_CLASS (rhyton_artwork_preview_parent_class)->dispose (object);
}

static void
rhyton_artwork_preview_class_init (RhytonArtworkPreviewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_artwork_preview_dispose;
  part_class->job_changed = rhyton_artwork_preview_changed;
  part_class->plan_changed = rhyton_artwork_preview_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-artwork-preview.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPreview, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPreview, frame);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPreview, original);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPreview, size);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPreview, nodes);
  gtk_widget_class_bind_template_callback (widget_class, on_original);
}

static void
rhyton_artwork_preview_init (RhytonArtworkPreview *self)
{
  self->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));

  /* A role can only be given to a widget that is being made. */
  self->picture = g_object_new (GTK_TYPE_DRAWING_AREA, "accessible-role", GTK_ACCESSIBLE_ROLE_IMG,
                                "content-height", PICTURE_HEIGHT, "hexpand", TRUE,
                                "tooltip-text", "Hold the pointer down here to see the artwork as it came in", NULL);
  gtk_frame_set_child (GTK_FRAME (self->frame), GTK_WIDGET (self->picture));
  gtk_drawing_area_set_draw_func (self->picture, draw, self, NULL);
  g_signal_connect (self->picture, "resize", G_CALLBACK (on_resize), self);
  GtkGesture *click = gtk_gesture_click_new ();
  g_signal_connect (click, "pressed", G_CALLBACK (on_pressed), self);
  g_signal_connect_swapped (click, "released", G_CALLBACK (on_released), self);
  g_signal_connect_swapped (click, "cancel", G_CALLBACK (on_released), self);
  g_signal_connect_swapped (click, "stopped", G_CALLBACK (on_released), self);
  gtk_widget_add_controller (GTK_WIDGET (self->picture), GTK_EVENT_CONTROLLER (click));
  on_original (self);
}
