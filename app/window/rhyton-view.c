/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-view.h"

#include <math.h>
#include <string.h>

#include "rhyton-look.h"
#include "rhyton-mosaic.h"
#include "rhyton-worker.h"

#define SCROLL_ZOOM 1.15
/* While a hand drags in another view: what the eye is not on may wait for what it is on. */
#define ASIDE_MS 60

/* What was made ready, shared by the view and what is painted of it. */
typedef struct
{
  gatomicrefcount count;
  gpointer        data;
  GDestroyNotify  destroy;
  RhyPlan        *plan;
  gboolean        is_draft;
} Subject;

/* Memory that one picture after the other is painted into: new pages are what is slow. Used by one
 * order at a time; shared, as the last may outlive its view. */
typedef struct
{
  gatomicrefcount count;
  guint8         *pixels;
  gsize           size;
  Subject        *shown;        /* nullable: what is painted on it, */
  gpointer        look;         /* from where, */
  int             width, height, scale; /* and how large */
} Canvas;

typedef struct
{
  const RhytonViewClass *klass;
  RhytonSight            sight;
  gpointer               subject;       /* nullable: of that plan, if there is one already */
  Canvas                *canvas;
  RhytonMosaic          *before;        /* nullable */
} Order;

typedef struct
{
  Subject      *subject;        /* NULL: there is nothing to be seen, see error */
  RhytonMosaic *mosaic;
  int           scale;
  GError       *error;
} Picture;

typedef struct
{
  /* Owned */
  RhytonWorker    *worker;
  Canvas          *canvas;
  Subject         *subject;     /* of the picture shown */
  RhytonWallpaper  picture;
  char            *trouble;

  RhytonHandClass  hand_class;
  RhytonHand       hand;
  gboolean         points;      /* there is a ring around: */
  RhyWallPoint     place;
  double           pointer_x, pointer_y;
} RhytonViewPrivate;

G_DEFINE_ABSTRACT_TYPE_WITH_PRIVATE (RhytonView, rhyton_view, RHYTON_TYPE_PART)

static RhytonViewPrivate *
own (gpointer self)
{
  return rhyton_view_get_instance_private (self);
}

static Canvas *
ref_canvas (Canvas *canvas)
{
  g_atomic_ref_count_inc (&canvas->count);
  return canvas;
}

static Subject *
ref_subject (Subject *subject)
{
  g_atomic_ref_count_inc (&subject->count);
  return subject;
}

static void
unref_subject (Subject *subject)
{
  if (!g_atomic_ref_count_dec (&subject->count))
    return;
  subject->destroy (subject->data);
  rhy_plan_unref (subject->plan);
  g_free (subject);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Subject, unref_subject)

static void
unref_canvas (Canvas *canvas)
{
  if (!g_atomic_ref_count_dec (&canvas->count))
    return;
  g_clear_pointer (&canvas->shown, unref_subject);
  g_free (canvas->look);
  g_free (canvas->pixels);
  g_free (canvas);
}

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->sight.plan);
  g_free (order->sight.look);
  g_clear_pointer ((Subject **) &order->subject, unref_subject);
  unref_canvas (order->canvas);
  g_clear_pointer (&order->before, rhyton_mosaic_unref);
  g_free (order);
}

static void
free_picture (gpointer data)
{
  Picture *picture = data;
  g_clear_pointer (&picture->subject, unref_subject);
  g_clear_pointer (&picture->mosaic, rhyton_mosaic_unref);
  g_clear_error (&picture->error);
  g_free (picture);
}

static Subject *
make_subject (const Order  *order,
              GError      **error)
{
  gpointer data = order->klass->make (&order->sight, error);
  if (data == NULL)
    return NULL;
  Subject *subject = g_new0 (Subject, 1);
  g_atomic_ref_count_init (&subject->count);
  subject->data = data;
  subject->destroy = order->klass->free_subject;
  subject->plan = rhy_plan_ref (order->sight.plan);
  subject->is_draft = order->sight.is_draft;
  return subject;
}

/* What of the canvas' picture a new one can go on from. Returns: (transfer full) (nullable) */
static Subject *
take_shown (Canvas      *canvas,
            const Order *order)
{
  const RhytonSight *sight = &order->sight;
  Subject *shown = g_steal_pointer (&canvas->shown);

  if (shown != NULL && canvas->width == sight->width && canvas->height == sight->height && canvas->scale == sight->scale
      && memcmp (canvas->look, sight->look, order->klass->look_size) == 0)
    return shown;
  g_clear_pointer (&shown, unref_subject);
  return NULL;
}

static void
keep_shown (Canvas      *canvas,
            const Order *order,
            Subject     *subject)
{
  const RhytonSight *sight = &order->sight;

  canvas->shown = ref_subject (subject);
  g_free (canvas->look);
  canvas->look = g_memdup2 (sight->look, order->klass->look_size);
  canvas->width = sight->width;
  canvas->height = sight->height;
  canvas->scale = sight->scale;
}

/* In a thread. */
static gpointer
paint (gpointer      input,
       GCancellable *cancellable)
{
  Order *order = input;
  const RhytonSight *sight = &order->sight;
  Picture *picture = g_new0 (Picture, 1);

  picture->scale = sight->scale;
  picture->subject = order->subject != NULL ? ref_subject (order->subject) : make_subject (order, &picture->error);
  if (picture->subject == NULL || g_cancellable_is_cancelled (cancellable))
    return picture;
  const int stride = cairo_format_stride_for_width (CAIRO_FORMAT_ARGB32, sight->width);
  const gsize size = (gsize) stride * (gsize) sight->height;
  g_autoptr (Subject) before = take_shown (order->canvas, order);
  if (order->canvas->size < size)
    {
      g_free (order->canvas->pixels);
      order->canvas->pixels = g_malloc (size);
      order->canvas->size = size;
    }
  order->klass->paint (picture->subject->data, before != NULL ? before->data : NULL, sight, order->canvas->pixels, stride);
  keep_shown (order->canvas, order, picture->subject);
  picture->mosaic = rhyton_mosaic_new (order->canvas->pixels, sight->width, sight->height, stride, order->before);
  return picture;
}

static gpointer
gather (gpointer owner)
{
  RhytonView *self = owner;
  RhytonViewPrivate *priv = own (self);
  GtkWidget *widget = owner;
  RhytonDocument *document = rhyton_part_get_document (owner);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;
  const int scale = gtk_widget_get_scale_factor (widget);
  const int width = gtk_widget_get_width (widget) * scale;
  const int height = gtk_widget_get_height (widget) * scale;
  const gboolean held = document != NULL && rhyton_document_is_held (document);

  if (plan == NULL || width <= 0 || height <= 0)
    return NULL;
  Order *order = g_new0 (Order, 1);
  order->klass = RHYTON_VIEW_GET_CLASS (self);
  order->sight = (RhytonSight) { .plan = rhy_plan_ref (plan), .is_draft = held, .width = width, .height = height, .scale = scale,
                                 .look = order->klass->look (self) };
  if (priv->subject != NULL && priv->subject->plan == plan && (held || !priv->subject->is_draft))
    {
      order->subject = ref_subject (priv->subject);
      order->sight.is_draft = priv->subject->is_draft;
    }
  order->canvas = ref_canvas (priv->canvas);
  order->before = priv->picture.mosaic != NULL ? rhyton_mosaic_ref (priv->picture.mosaic) : NULL;
  return order;
}

static void
painted (gpointer owner,
         gpointer result)
{
  RhytonView *self = owner;
  RhytonViewPrivate *priv = own (self);
  Picture *picture = result;

  g_clear_pointer (&priv->subject, unref_subject);
  g_clear_pointer (&priv->trouble, g_free);
  priv->subject = g_steal_pointer (&picture->subject);
  if (picture->error != NULL)
    priv->trouble = g_strdup (picture->error->message);
  rhyton_wallpaper_set (&priv->picture, g_steal_pointer (&picture->mosaic), picture->scale);
  free_picture (picture);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = paint,
  .done = painted,
  .free_input = free_order,
  .free_result = free_picture,
};

static gboolean
is_held_elsewhere (RhytonView *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  return document != NULL && rhyton_document_is_held (document) && !rhyton_hand_is_held (&own (self)->hand);
}

/* Two processors paint some 60 pictures a second for the view with the hand in it, if the others leave
 * them to it most of the time. */
static void
ask (RhytonView *self)
{
  RhytonViewPrivate *priv = own (self);

  if (priv->worker == NULL)
    return;
  if (is_held_elsewhere (self))
    rhyton_worker_request_spaced (priv->worker, ASIDE_MS);
  else
    rhyton_worker_request (priv->worker);
}

static void
tell_what_is_seen (RhytonView *self)
{
  RhytonViewClass *klass = RHYTON_VIEW_GET_CLASS (self);
  g_autofree char *selected = rhyton_hand_describe (&own (self)->hand);
  g_autofree char *look = klass->describe != NULL ? klass->describe (self) : NULL;
  g_autofree char *text = look != NULL ? g_strconcat (selected, "; ", look, NULL) : g_strdup (selected);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

void
rhyton_view_look_changed (RhytonView *self)
{
  g_return_if_fail (RHYTON_IS_VIEW (self));

  tell_what_is_seen (self);
  ask (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

RhyPlan *
rhyton_view_get_plan (RhytonView *self)
{
  g_return_val_if_fail (RHYTON_IS_VIEW (self), NULL);
  const Subject *subject = own (self)->subject;
  return subject != NULL ? subject->plan : NULL;
}

gpointer
rhyton_view_get_subject (RhytonView *self)
{
  g_return_val_if_fail (RHYTON_IS_VIEW (self), NULL);
  const Subject *subject = own (self)->subject;
  return subject != NULL ? subject->data : NULL;
}

gboolean
rhyton_view_is_busy (RhytonView *self)
{
  g_return_val_if_fail (RHYTON_IS_VIEW (self), FALSE);
  const RhytonViewPrivate *priv = own (self);
  return priv->worker != NULL && rhyton_worker_is_busy (priv->worker);
}

void
rhyton_view_point_at (RhytonView         *self,
                      const RhyWallPoint *at)
{
  g_return_if_fail (RHYTON_IS_VIEW (self));
  RhytonViewPrivate *priv = own (self);

  if (at == NULL && !priv->points)
    return;
  priv->points = at != NULL;
  if (at != NULL)
    priv->place = *at;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* The frame may be round another artwork now, a length in another unit. */
static void
rhyton_view_job_changed (RhytonPart *part)
{
  tell_what_is_seen (RHYTON_VIEW (part));
  gtk_widget_queue_draw (GTK_WIDGET (part));
}

static void
rhyton_view_plan_changed (RhytonPart *part)
{
  RhytonView *self = RHYTON_VIEW (part);
  RhytonViewPrivate *priv = own (self);

  tell_what_is_seen (self);
  if (rhyton_document_get_plan (rhyton_part_get_document (part)) == NULL)
    {
      rhyton_wallpaper_set (&priv->picture, NULL, 1);
      g_clear_pointer (&priv->subject, unref_subject);
      gtk_widget_queue_draw (GTK_WIDGET (self));
    }
  if (priv->subject == NULL || priv->subject->is_draft
      || priv->subject->plan != rhyton_document_get_plan (rhyton_part_get_document (part)))
    ask (self);
}

/* No larger than what is drawn, or GTK would draw the picture below again, too. */
static void
append_tight (GtkSnapshot     *snapshot,
              cairo_surface_t *drawn)
{
  double x, y, width, height;

  cairo_recording_surface_ink_extents (drawn, &x, &y, &width, &height);
  if (!(width > 0.0 && height > 0.0))
    return;
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT ((float) floor (x), (float) floor (y),
                                                                          (float) ceil (width + 1.0), (float) ceil (height + 1.0)));
  cairo_set_source_surface (cr, drawn, 0.0, 0.0);
  cairo_paint (cr);
  cairo_destroy (cr);
}

static void
draw_over (RhytonView  *self,
           GtkSnapshot *snapshot,
           gboolean     note)
{
  RhytonViewPrivate *priv = own (self);
  cairo_surface_t *drawn = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, NULL);
  cairo_t *cr = cairo_create (drawn);

  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  if (note)
    rhyton_hand_draw_note (&priv->hand, cr);
  else
    rhyton_hand_draw (&priv->hand, cr);
  if (!note && priv->points && priv->subject != NULL)
    rhyton_frame_ring (GTK_WIDGET (self), cr, RHYTON_VIEW_GET_CLASS (self)->locate, priv->place);
  cairo_destroy (cr);
  append_tight (snapshot, drawn);
  cairo_surface_destroy (drawn);
}

static void
rhyton_view_snapshot (GtkWidget   *widget,
                      GtkSnapshot *snapshot)
{
  RhytonView *self = RHYTON_VIEW (widget);
  RhytonViewPrivate *priv = own (self);
  RhytonViewClass *klass = RHYTON_VIEW_GET_CLASS (self);
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (widget));

  if (priv->picture.mosaic == NULL)
    {
      const char *trouble = priv->trouble;
      if (trouble == NULL && document != NULL)
        trouble = rhyton_document_get_trouble (document);
      rhyton_look_write (widget, snapshot, trouble);
      return;
    }
  rhyton_wallpaper_draw (&priv->picture, snapshot, gtk_widget_get_width (widget), gtk_widget_get_height (widget));
  if (klass->decorate != NULL)
    klass->decorate (self, snapshot);
  draw_over (self, snapshot, FALSE);
  draw_over (self, snapshot, TRUE);
}

static void
rhyton_view_size_allocate (GtkWidget *widget,
                           int        width,
                           int        height,
                           int        baseline)
{
  ask (RHYTON_VIEW (widget));
}

static void
rhyton_view_css_changed (GtkWidget         *widget,
                         GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (rhyton_view_parent_class)->css_changed (widget, change);
  ask (RHYTON_VIEW (widget));
}

/* ---- the pointer and the keys ---- */

static RhyPlan *
get_plan (gpointer view)
{
  return rhyton_view_get_plan (view);
}

static gboolean
keeps_no_mark (gpointer view)
{
  return FALSE;
}

static void
on_drag_begin (GtkGestureDrag *gesture,
               double          x,
               double          y,
               RhytonView     *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  RHYTON_VIEW_GET_CLASS (self)->grab (self);
  rhyton_hand_take (&own (self)->hand, x, y);
}

static void
on_drag_update (GtkGestureDrag *gesture,
                double          dx,
                double          dy,
                RhytonView     *self)
{
  if (!rhyton_hand_drag (&own (self)->hand, dx, dy, gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (gesture))))
    RHYTON_VIEW_GET_CLASS (self)->turn (self, dx, dy);
}

static void
on_drag_end (GtkGestureDrag *gesture,
             double          dx,
             double          dy,
             RhytonView     *self)
{
  rhyton_hand_drop (&own (self)->hand);
}

static void
on_shift_begin (GtkGestureDrag *gesture,
                double          x,
                double          y,
                RhytonView     *self)
{
  RHYTON_VIEW_GET_CLASS (self)->grab (self);
}

static void
on_shift_update (GtkGestureDrag *gesture,
                 double          dx,
                 double          dy,
                 RhytonView     *self)
{
  RHYTON_VIEW_GET_CLASS (self)->shift (self, dx, dy);
}

static void
on_motion (GtkEventControllerMotion *controller,
           double                    x,
           double                    y,
           RhytonView               *self)
{
  RhytonViewPrivate *priv = own (self);

  priv->pointer_x = x;
  priv->pointer_y = y;
  rhyton_hand_hover (&priv->hand, x, y);
}

static void
on_leave (GtkEventControllerMotion *controller,
          RhytonView               *self)
{
  rhyton_hand_leave (&own (self)->hand);
}

static gboolean
on_scroll (GtkEventControllerScroll *controller,
           double                    dx,
           double                    dy,
           RhytonView               *self)
{
  const RhytonViewPrivate *priv = own (self);
  RHYTON_VIEW_GET_CLASS (self)->zoom (self, pow (SCROLL_ZOOM, -dy), priv->pointer_x, priv->pointer_y);
  return GDK_EVENT_STOP;
}

static gboolean
zoom_by_key (RhytonView *self,
             guint       keyval)
{
  const double x = 0.5 * gtk_widget_get_width (GTK_WIDGET (self));
  const double y = 0.5 * gtk_widget_get_height (GTK_WIDGET (self));

  switch (keyval)
    {
    case GDK_KEY_plus:
    case GDK_KEY_equal:
    case GDK_KEY_KP_Add:
      RHYTON_VIEW_GET_CLASS (self)->zoom (self, SCROLL_ZOOM, x, y);
      return GDK_EVENT_STOP;
    case GDK_KEY_minus:
    case GDK_KEY_KP_Subtract:
      RHYTON_VIEW_GET_CLASS (self)->zoom (self, 1.0 / SCROLL_ZOOM, x, y);
      return GDK_EVENT_STOP;
    default:
      return GDK_EVENT_PROPAGATE;
    }
}

static gboolean
on_key (GtkEventControllerKey *controller,
        guint                  keyval,
        guint                  keycode,
        GdkModifierType        state,
        RhytonView            *self)
{
  RhytonViewClass *klass = RHYTON_VIEW_GET_CLASS (self);

  if (state & GDK_CONTROL_MASK)
    return klass->key != NULL ? klass->key (self, keyval, state) : GDK_EVENT_PROPAGATE;
  return rhyton_hand_key (&own (self)->hand, keyval, state) ? GDK_EVENT_STOP : zoom_by_key (self, keyval);
}

/* ---- the class ---- */

static void
rhyton_view_dispose (GObject *object)
{
  RhytonViewPrivate *priv = own (object);

  g_clear_pointer (&priv->worker, rhyton_worker_free);
  rhyton_hand_clear (&priv->hand);
  rhyton_wallpaper_clear (&priv->picture);
  /* The template has no widgets, only what listens to the pointer and the keys. */
  G_OBJECT_CLASS (rhyton_view_parent_class)->dispose (object);
}

static void
rhyton_view_finalize (GObject *object)
{
  RhytonViewPrivate *priv = own (object);

  g_clear_pointer (&priv->subject, unref_subject);
  g_clear_pointer (&priv->trouble, g_free);
  g_clear_pointer (&priv->canvas, unref_canvas);
  G_OBJECT_CLASS (rhyton_view_parent_class)->finalize (object);
}

static void
rhyton_view_constructed (GObject *object)
{
  const RhytonViewClass *klass = RHYTON_VIEW_GET_CLASS (object);

  own (object)->hand_class = (RhytonHandClass) {
    .get_plan = get_plan,
    .locate = klass->locate,
    .pick = klass->pick,
    .get_slack_mm = klass->get_slack_mm,
    .get_middle = klass->get_middle,
    .keeps_mark = klass->keeps_mark,
  };
  G_OBJECT_CLASS (rhyton_view_parent_class)->constructed (object);
}

static void
rhyton_view_class_init (RhytonViewClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  object_class->constructed = rhyton_view_constructed;
  object_class->dispose = rhyton_view_dispose;
  object_class->finalize = rhyton_view_finalize;
  widget_class->snapshot = rhyton_view_snapshot;
  widget_class->size_allocate = rhyton_view_size_allocate;
  widget_class->css_changed = rhyton_view_css_changed;
  part_class->job_changed = rhyton_view_job_changed;
  part_class->plan_changed = rhyton_view_plan_changed;
  klass->keeps_mark = keeps_no_mark;

  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_widget_class_set_css_name (widget_class, "view-picture");
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-view.ui");
  gtk_widget_class_bind_template_callback (widget_class, on_drag_begin);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_update);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_end);
  gtk_widget_class_bind_template_callback (widget_class, on_shift_begin);
  gtk_widget_class_bind_template_callback (widget_class, on_shift_update);
  gtk_widget_class_bind_template_callback (widget_class, on_motion);
  gtk_widget_class_bind_template_callback (widget_class, on_leave);
  gtk_widget_class_bind_template_callback (widget_class, on_scroll);
  gtk_widget_class_bind_template_callback (widget_class, on_key);
}

static void
rhyton_view_init (RhytonView *self)
{
  RhytonViewPrivate *priv = own (self);

  priv->canvas = g_new0 (Canvas, 1);
  g_atomic_ref_count_init (&priv->canvas->count);
  priv->hand = (RhytonHand) { .klass = &priv->hand_class, .view = RHYTON_PART (self) };
  priv->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));
}
