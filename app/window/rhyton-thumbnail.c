/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-thumbnail.h"

#include <math.h>
#include <string.h>

#include "rhyton-worker.h"

/* What a page is fitted into, pixels of the screen. */
#define WIDTH  260.0
#define HEIGHT 132.0
/* A sheet as large as it needs is asked for as a picture of about this many dots across. */
#define SHEET_DPI 30.0

typedef enum { SHOWS_NOTHING, SHOWS_PATTERN, SHOWS_SHEET } Shows;

struct _RhytonThumbnail
{
  RhytonPart         parent_instance;

  /* Template children */
  GtkWidget         *box;
  GtkWidget         *picture;
  GtkWidget         *caption;

  /* Owned */
  RhytonWorker      *worker;
  cairo_surface_t   *surface;
  char              *texts[3];  /* of the sheet's options */

  Shows              shows;
  RhyDrawingOptions  drawing;
  RhyPaper           paper;
};

G_DEFINE_FINAL_TYPE (RhytonThumbnail, rhyton_thumbnail, RHYTON_TYPE_PART)

typedef struct
{
  RhyPlan           *plan;
  RhyVerdict        *verdict;   /* nullable */
  Shows              shows;
  RhyDrawingOptions  drawing;
  RhyPaper           paper;
  char              *texts[3];
  int                scale;
} Order;

typedef struct
{
  cairo_surface_t *surface;     /* nullable */
  gsize            n;
  char            *trouble;
} Page;

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->plan);
  g_clear_pointer (&order->verdict, rhy_verdict_unref);
  for (gsize i = 0; i < G_N_ELEMENTS (order->texts); i++)
    g_free (order->texts[i]);
  g_free (order);
}

static void
free_page (gpointer data)
{
  Page *page = data;
  g_clear_pointer (&page->surface, cairo_surface_destroy);
  g_free (page->trouble);
  g_free (page);
}

static gpointer
gather (gpointer owner)
{
  RhytonThumbnail *self = owner;
  RhytonDocument *document = rhyton_part_get_document (owner);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;
  RhyVerdict *verdict = document != NULL ? rhyton_document_get_verdict (document) : NULL;

  if (plan == NULL || self->shows == SHOWS_NOTHING || (self->shows == SHOWS_SHEET && verdict == NULL))
    return NULL;
  Order *order = g_new0 (Order, 1);
  order->plan = rhy_plan_ref (plan);
  order->verdict = verdict != NULL ? rhy_verdict_ref (verdict) : NULL;
  order->shows = self->shows;
  order->drawing = self->drawing;
  order->paper = self->paper;
  for (gsize i = 0; i < G_N_ELEMENTS (order->texts); i++)
    order->texts[i] = g_strdup (self->texts[i]);
  order->scale = gtk_widget_get_scale_factor (owner);
  return order;
}

/* A white page of so many mm, and a context on it in mm. */
static cairo_surface_t *
new_page (double    width_mm,
          double    height_mm,
          int       scale,
          cairo_t **cr)
{
  const double fit = MIN (WIDTH / width_mm, HEIGHT / height_mm);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, MAX (1, (int) lround (fit * width_mm)) * scale,
                                                         MAX (1, (int) lround (fit * height_mm)) * scale);
  cairo_surface_set_device_scale (surface, scale, scale);
  *cr = cairo_create (surface);
  cairo_set_source_rgb (*cr, 1.0, 1.0, 1.0);
  cairo_paint (*cr);
  cairo_scale (*cr, fit, fit);
  return surface;
}

typedef struct
{
  const guint8 *data;
  gsize         left;
} Reading;

static cairo_status_t
read_png (void          *data,
          unsigned char *to,
          unsigned       length)
{
  Reading *reading = data;
  if (length > reading->left)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (to, reading->data, length);
  reading->data += length;
  reading->left -= length;
  return CAIRO_STATUS_SUCCESS;
}

/* One sheet, as large as it needs. */
static cairo_surface_t *
draw_sheet (const Order *order,
            GError     **error)
{
  RhyDrawingOptions options = order->drawing;
  options.dpi = SHEET_DPI * order->scale;
  g_autoptr (GBytes) png = rhy_drawing_pattern (order->plan, RHY_FORMAT_PNG, &options, error);
  if (png == NULL)
    return NULL;
  Reading reading;
  reading.data = g_bytes_get_data (png, &reading.left);
  cairo_surface_t *whole = cairo_image_surface_create_from_png_stream (read_png, &reading);
  const double width = cairo_image_surface_get_width (whole), height = cairo_image_surface_get_height (whole);
  cairo_t *cr;
  cairo_surface_t *surface = new_page (width, height, order->scale, &cr);
  cairo_set_source_surface (cr, whole, 0.0, 0.0);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_GOOD);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (whole);
  return surface;
}

static cairo_surface_t *
draw_first (const Order *order,
            gsize       *n,
            GError     **error)
{
  const RhySheetOptions options = { order->paper, order->texts[0], order->texts[1], order->texts[2] };
  g_autoptr (RhyPages) pages = order->shows == SHOWS_SHEET ? rhy_pages_new_sheet (order->plan, order->verdict, &options)
                                                           : rhy_pages_new_pattern (order->plan, &order->drawing, error);
  if (pages == NULL)
    return NULL;
  double width_mm, height_mm;
  cairo_t *cr;
  rhy_pages_get_size (pages, &width_mm, &height_mm);
  *n = rhy_pages_get_n (pages);
  cairo_surface_t *surface = new_page (width_mm, height_mm, order->scale, &cr);
  rhy_pages_draw (pages, 0, cr);
  cairo_destroy (cr);
  return surface;
}

/* In a thread. */
static gpointer
work (gpointer      input,
      GCancellable *cancellable)
{
  const Order *order = input;
  Page *page = g_new0 (Page, 1);
  g_autoptr (GError) error = NULL;

  page->n = 1;
  if (order->shows == SHOWS_PATTERN && !order->drawing.on_pages)
    page->surface = draw_sheet (order, &error);
  else
    page->surface = draw_first (order, &page->n, &error);
  if (error != NULL)
    page->trouble = g_strdup (error->message);
  return page;
}

static void
show (RhytonThumbnail *self,
      cairo_surface_t *surface,
      const char      *text)
{
  g_clear_pointer (&self->surface, cairo_surface_destroy);
  self->surface = surface;
  gtk_widget_set_visible (self->picture, surface != NULL);
  gtk_label_set_label (GTK_LABEL (self->caption), text);
  gtk_widget_set_visible (self->caption, *text != '\0');
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
  if (surface == NULL)
    return;
  double x, y;
  cairo_surface_get_device_scale (surface, &x, &y);
  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (self->picture), (int) (cairo_image_surface_get_width (surface) / x));
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (self->picture), (int) (cairo_image_surface_get_height (surface) / y));
  gtk_widget_queue_draw (self->picture);
}

static void
done (gpointer owner,
      gpointer result)
{
  RhytonThumbnail *self = owner;
  Page *page = result;
  g_autofree char *text = NULL;

  if (page->trouble != NULL)
    text = g_steal_pointer (&page->trouble);
  else if (self->shows == SHOWS_PATTERN && !self->drawing.on_pages)
    text = g_strdup ("one sheet");
  else
    text = page->n == 1 ? g_strdup ("1 page") : g_strdup_printf ("page 1 of %" G_GSIZE_FORMAT, page->n);
  show (self, g_steal_pointer (&page->surface), text);
  free_page (page);
}

static const RhytonWorkerClass worker_class = { gather, work, done, free_order, free_page };

/* Nobody pays for a page that is not in sight. */
static void
refresh (RhytonThumbnail *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (!gtk_widget_get_mapped (GTK_WIDGET (self)))
    return;
  if (document == NULL || rhyton_document_get_part (document) == NULL)
    {
      rhyton_worker_cancel (self->worker);
      show (self, NULL, "");
    }
  else
    rhyton_worker_request (self->worker);
}

void
rhyton_thumbnail_show_pattern (RhytonThumbnail         *self,
                               const RhyDrawingOptions *options)
{
  g_return_if_fail (RHYTON_IS_THUMBNAIL (self) && options != NULL);

  self->shows = SHOWS_PATTERN;
  self->drawing = *options;
  refresh (self);
}

void
rhyton_thumbnail_show_sheet (RhytonThumbnail       *self,
                             const RhySheetOptions *options)
{
  g_return_if_fail (RHYTON_IS_THUMBNAIL (self) && options != NULL);

  const char *const texts[] = { options->power, options->speed, options->lines };
  self->shows = SHOWS_SHEET;
  self->paper = options->paper;
  for (gsize i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_free (self->texts[i]);
      self->texts[i] = g_strdup (texts[i]);
    }
  refresh (self);
}

gboolean
rhyton_thumbnail_is_busy (RhytonThumbnail *self)
{
  g_return_val_if_fail (RHYTON_IS_THUMBNAIL (self), FALSE);
  return rhyton_worker_is_busy (self->worker);
}

const char *
rhyton_thumbnail_get_text (RhytonThumbnail *self)
{
  g_return_val_if_fail (RHYTON_IS_THUMBNAIL (self), NULL);
  return gtk_label_get_label (GTK_LABEL (self->caption));
}

static void
draw (GtkDrawingArea *area,
      cairo_t        *cr,
      int             width,
      int             height,
      gpointer        data)
{
  RhytonThumbnail *self = data;
  if (self->surface == NULL)
    return;
  cairo_set_source_surface (cr, self->surface, 0.0, 0.0);
  cairo_paint (cr);
}

static void
rhyton_thumbnail_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (rhyton_thumbnail_parent_class)->map (widget);
  refresh (RHYTON_THUMBNAIL (widget));
}

static void
rhyton_thumbnail_changed (RhytonPart *part)
{
  refresh (RHYTON_THUMBNAIL (part));
}

static void
rhyton_thumbnail_dispose (GObject *object)
{
  RhytonThumbnail *self = RHYTON_THUMBNAIL (object);

  g_clear_pointer (&self->worker, rhyton_worker_free);
  g_clear_pointer (&self->surface, cairo_surface_destroy);
  for (gsize i = 0; i < G_N_ELEMENTS (self->texts); i++)
    g_clear_pointer (&self->texts[i], g_free);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_THUMBNAIL);
  G_OBJECT_CLASS (rhyton_thumbnail_parent_class)->dispose (object);
}

static void
rhyton_thumbnail_class_init (RhytonThumbnailClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_thumbnail_dispose;
  widget_class->map = rhyton_thumbnail_map;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_thumbnail_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_thumbnail_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-thumbnail.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonThumbnail, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonThumbnail, picture);
  gtk_widget_class_bind_template_child (widget_class, RhytonThumbnail, caption);
}

static void
rhyton_thumbnail_init (RhytonThumbnail *self)
{
  self->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->picture), draw, self, NULL);
}
