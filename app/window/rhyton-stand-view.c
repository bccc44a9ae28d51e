/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-stand-view.h"

#include <math.h>

#include "rhyton-look.h"
#include "rhyton-panel.h"
#include "rhyton-worker.h"

#define HEIGHT_PX 210

struct _RhytonStandView
{
  RhytonPart       parent_instance;

  /* Template children */
  GtkWidget       *box;
  GtkWidget       *picture;
  GtkRange        *where;
  GtkLabel        *facts;
  GtkLabel        *trouble;

  /* Owned */
  RhytonWorker    *worker;
  cairo_surface_t *surface;     /* nullable */
  gboolean         inches;      /* what it was drawn with */
};

G_DEFINE_FINAL_TYPE (RhytonStandView, rhyton_stand_view, RHYTON_TYPE_PART)

typedef struct
{
  RhyPlan *plan;
  double   where;               /* 0: lowest ink, 1: highest */
  int      width, height, scale;
  gboolean inches;
  RhyStandLook look;
} Order;

typedef struct
{
  cairo_surface_t *surface;
  char            *facts, *trouble;
} Drawn;

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->plan);
  g_free (order);
}

static void
free_drawn (gpointer data)
{
  Drawn *drawn = data;
  g_clear_pointer (&drawn->surface, cairo_surface_destroy);
  g_free (drawn->facts);
  g_free (drawn->trouble);
  g_free (drawn);
}

static RhyWallPoint
place_of (const RhyPlan *plan,
          double         where)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  if (!(n->s_high_mm > n->s_low_mm))
    return n->anchor;
  return (RhyWallPoint) { n->s_low_mm + where * (n->s_high_mm - n->s_low_mm), n->anchor.angle };
}

static gpointer
gather (gpointer owner)
{
  RhytonStandView *self = owner;
  RhytonDocument *document = rhyton_part_get_document (owner);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;
  const int width = gtk_widget_get_width (self->picture);

  if (plan == NULL || width <= 0 || !gtk_widget_get_mapped (GTK_WIDGET (self)))
    return NULL;
  Order *order = g_new (Order, 1);
  *order = (Order) { .plan = rhy_plan_ref (plan), .where = gtk_range_get_value (self->where) / 100.0, .width = width,
                     .height = HEIGHT_PX, .scale = gtk_widget_get_scale_factor (self->picture),
                     .inches = rhyton_document_get_inches (document) };
  self->inches = order->inches;
  RhyColour accent;
  rhyton_look_colours (self->picture, &order->look.ink, &order->look.paper, &accent);
  return order;
}

static char *
say_length (double   mm,
            gpointer inches)
{
  return rhyton_panel_format_in (GPOINTER_TO_INT (inches), mm);
}

/* As people write it. */
static char *
with_signs (char *text)
{
  g_autofree char *plain = text;
  GString *signs = g_string_new (plain);
  g_string_replace (signs, " degrees", "\u00b0", 0);
  g_string_replace (signs, "The machine does not give its head.",
                    "No head is drawn: its sizes are among the figures of the machine.", 0);
  char *text_there = rhyton_panel_lengths_in (signs->str, FALSE);
  g_string_free (signs, TRUE);
  return text_there;
}

/* In a thread. */
static gpointer
draw (gpointer      input,
      GCancellable *cancellable)
{
  Order *order = input;
  Drawn *drawn = g_new0 (Drawn, 1);
  const RhyWallPoint place = place_of (order->plan, order->where);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, order->width * order->scale,
                                                         order->height * order->scale);
  cairo_surface_set_device_scale (surface, order->scale, order->scale);
  cairo_t *cr = cairo_create (surface);
  rhy_stand_draw_side (order->plan, place, &order->look, cr, order->width, order->height);
  cairo_destroy (cr);
  order->look.say = say_length;
  order->look.data = GINT_TO_POINTER (order->inches);
  drawn->surface = surface;
  drawn->facts = rhy_stand_describe (order->plan, place, &order->look, &drawn->trouble);
  drawn->facts = with_signs (drawn->facts);
  drawn->trouble = with_signs (drawn->trouble);
  return drawn;
}

static void
drawn (gpointer owner,
       gpointer result)
{
  RhytonStandView *self = owner;
  Drawn *drawn = result;
  g_autofree char *words = g_strjoin ("\n", drawn->facts, *drawn->trouble != '\0' ? drawn->trouble : NULL, NULL);

  g_clear_pointer (&self->surface, cairo_surface_destroy);
  self->surface = g_steal_pointer (&drawn->surface);
  gtk_label_set_label (self->facts, drawn->facts);
  gtk_label_set_label (self->trouble, drawn->trouble);
  gtk_widget_set_visible (GTK_WIDGET (self->trouble), *drawn->trouble != '\0');
  /* For those who do not see the picture. */
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, words, -1);
  gtk_widget_queue_draw (self->picture);
  free_drawn (drawn);
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = draw,
  .done = drawn,
  .free_input = free_order,
  .free_result = free_drawn,
};

static void
refresh (RhytonStandView *self)
{
  if (self->worker != NULL)
    rhyton_worker_request (self->worker);
}

static void
paint (GtkDrawingArea *area,
       cairo_t        *cr,
       int             width,
       int             height,
       gpointer        data)
{
  RhytonStandView *self = data;
  if (self->surface == NULL)
    return;
  cairo_set_source_surface (cr, self->surface, 0.0, 0.0);
  cairo_paint (cr);
}

static void
on_resize (GtkDrawingArea  *area,
           int              width,
           int              height,
           RhytonStandView *self)
{
  refresh (self);
}

static void
on_where (GtkRange        *range,
          RhytonStandView *self)
{
  refresh (self);
}

static void
rhyton_stand_view_plan_changed (RhytonPart *part)
{
  RhytonStandView *self = RHYTON_STAND_VIEW (part);
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (part));

  gtk_widget_set_visible (self->box, plan != NULL);
  if (plan == NULL)
    g_clear_pointer (&self->surface, cairo_surface_destroy);
  else
    {
      g_autofree char *tilt = g_strdup_printf ("The held work from the side, tilted %.1f\u00b0, with the head over it",
                                               rhy_plan_get_numbers (plan)->tilt_rad * 180.0 / G_PI);
      gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_LABEL, tilt, -1);
    }
  refresh (self);
}

/* A new job is drawn once it has a plan; another unit needs none. */
static void
rhyton_stand_view_job_changed (RhytonPart *part)
{
  RhytonStandView *self = RHYTON_STAND_VIEW (part);
  if (rhyton_document_get_inches (rhyton_part_get_document (part)) != self->inches)
    refresh (self);
}

/* Light and dark. */
static void
rhyton_stand_view_css_changed (GtkWidget         *widget,
                               GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (rhyton_stand_view_parent_class)->css_changed (widget, change);
  refresh (RHYTON_STAND_VIEW (widget));
}

static void
rhyton_stand_view_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (rhyton_stand_view_parent_class)->map (widget);
  refresh (RHYTON_STAND_VIEW (widget));
}

gboolean
rhyton_stand_view_is_busy (RhytonStandView *self)
{
  g_return_val_if_fail (RHYTON_IS_STAND_VIEW (self), FALSE);
  return self->worker != NULL && rhyton_worker_is_busy (self->worker);
}

cairo_surface_t *
rhyton_stand_view_get_picture (RhytonStandView *self)
{
  g_return_val_if_fail (RHYTON_IS_STAND_VIEW (self), NULL);
  return self->surface;
}

static void
rhyton_stand_view_dispose (GObject *object)
{
  RhytonStandView *self = RHYTON_STAND_VIEW (object);

  g_clear_pointer (&self->worker, rhyton_worker_free);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_STAND_VIEW);
  G_OBJECT_CLASS (rhyton_stand_view_parent_class)->dispose (object);
}

static void
rhyton_stand_view_finalize (GObject *object)
{
  g_clear_pointer (&RHYTON_STAND_VIEW (object)->surface, cairo_surface_destroy);
  G_OBJECT_CLASS (rhyton_stand_view_parent_class)->finalize (object);
}

static void
rhyton_stand_view_class_init (RhytonStandViewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_stand_view_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_stand_view_finalize;
  widget_class->map = rhyton_stand_view_map;
  widget_class->css_changed = rhyton_stand_view_css_changed;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_stand_view_job_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_stand_view_plan_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-stand-view.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonStandView, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonStandView, picture);
  gtk_widget_class_bind_template_child (widget_class, RhytonStandView, where);
  gtk_widget_class_bind_template_child (widget_class, RhytonStandView, facts);
  gtk_widget_class_bind_template_child (widget_class, RhytonStandView, trouble);
  gtk_widget_class_bind_template_callback (widget_class, on_resize);
  gtk_widget_class_bind_template_callback (widget_class, on_where);
}

static void
rhyton_stand_view_init (RhytonStandView *self)
{
  self->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->picture), paint, self, NULL);
}
