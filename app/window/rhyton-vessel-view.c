/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-vessel-view.h"

#include <math.h>

#include "rhyton-hand.h"
#include "rhyton-look.h"
#include "rhyton-worker.h"

#define LIFT_MAX_RAD (85.0 / 180.0 * G_PI)
#define ZOOM_MIN 0.5
#define ZOOM_MAX 12.0
#define SCROLL_ZOOM 1.15
#define KEY_TURN_RAD (5.0 / 180.0 * G_PI)
/* Beside small artwork the pointer still finds it. */
#define GRIP_SLACK_PX 6.0

/* Pixels that the worker fills and a cairo surface then shows. Its memory is used
 * again once GTK lets go of the surface: new pages are what is slow. */
typedef struct
{
  GAsyncQueue *pool;            /* where it goes back to */
  guint8      *pixels;
  gsize        size;
  int          width, height, stride;
} Buffer;

typedef struct
{
  RhyPlan        *plan;
  RhyScene       *scene;        /* nullable: of that plan, if there is one already */
  RhyCamera       camera;
  RhySceneOptions options;
  double          draft_per_mm; /* 0: as fine as it goes */
  int             width, height;
  GAsyncQueue    *pool;
} Order;

typedef struct
{
  RhyPlan   *plan;
  RhyScene  *scene;             /* NULL: there is none, see error */
  gboolean   draft;
  RhyCamera  camera;
  Buffer    *buffer;
  GError    *error;
} Picture;

struct _RhytonVesselView
{
  RhytonPart       parent_instance;

  /* Owned */
  RhytonWorker    *worker;
  GAsyncQueue     *pool;
  RhyPlan         *plan;        /* of the picture shown */
  RhyScene        *scene;
  gboolean         draft;       /* that one; to be made again once the hand lets go */
  cairo_surface_t *surface;
  char            *trouble;

  RhyCamera        camera;
  RhySceneOptions  options;
  RhytonHand       hand;
  RhyCamera        drag_camera; /* at the start of a drag */
  gboolean         points;      /* there is a ring around: */
  RhyWallPoint     place;
};

G_DEFINE_FINAL_TYPE (RhytonVesselView, rhyton_vessel_view, RHYTON_TYPE_PART)

static void
free_buffer (gpointer data)
{
  Buffer *buffer = data;
  g_free (buffer->pixels);
  g_free (buffer);
}

static Buffer *
take_buffer (GAsyncQueue *pool,
             int          width,
             int          height)
{
  const int stride = cairo_format_stride_for_width (CAIRO_FORMAT_ARGB32, width);
  const gsize size = (gsize) stride * (gsize) height;
  Buffer *buffer = g_async_queue_try_pop (pool);

  if (buffer == NULL)
    buffer = g_new0 (Buffer, 1);
  if (buffer->size < size)
    {
      g_free (buffer->pixels);
      buffer->pixels = g_malloc (size);
      buffer->size = size;
    }
  buffer->pool = g_async_queue_ref (pool);
  buffer->width = width;
  buffer->height = height;
  buffer->stride = stride;
  return buffer;
}

static void
give_back (gpointer data)
{
  Buffer *buffer = data;
  GAsyncQueue *pool = g_steal_pointer (&buffer->pool);
  g_async_queue_push (pool, buffer);
  g_async_queue_unref (pool);
}

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->plan);
  g_clear_pointer (&order->scene, rhy_scene_unref);
  g_async_queue_unref (order->pool);
  g_free (order);
}

static void
free_picture (gpointer data)
{
  Picture *picture = data;
  rhy_plan_unref (picture->plan);
  g_clear_pointer (&picture->scene, rhy_scene_unref);
  g_clear_pointer (&picture->buffer, give_back);
  g_clear_error (&picture->error);
  g_free (picture);
}

static RhyScene *
make_scene (const Order  *order,
            GError      **error)
{
  return order->draft_per_mm > 0.0 ? rhy_scene_new_draft (order->plan, order->draft_per_mm, error)
                                   : rhy_scene_new (order->plan, FALSE, error);
}

/* In a thread. */
static gpointer
render (gpointer      input,
        GCancellable *cancellable)
{
  Order *order = input;
  Picture *picture = g_new0 (Picture, 1);

  picture->plan = rhy_plan_ref (order->plan);
  picture->camera = order->camera;
  picture->scene = order->scene != NULL ? rhy_scene_ref (order->scene)
                                        : make_scene (order, &picture->error);
  picture->draft = order->draft_per_mm > 0.0;
  if (picture->scene == NULL || g_cancellable_is_cancelled (cancellable))
    return picture;
  picture->buffer = take_buffer (order->pool, order->width, order->height);
  rhy_scene_render (picture->scene, &order->camera, &order->options, picture->buffer->pixels,
                    order->width, order->height, picture->buffer->stride);
  return picture;
}

static gpointer
gather (gpointer owner)
{
  RhytonVesselView *self = owner;
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
  order->plan = rhy_plan_ref (plan);
  if (plan == self->plan && self->scene != NULL && (held || !self->draft))
    order->scene = rhy_scene_ref (self->scene);
  /* What is dragged is gone before its finest detail could be seen. The wall fills the
   * height at most. */
  if (order->scene != NULL ? self->draft : held)
    order->draft_per_mm = self->camera.zoom * height / MAX (rhy_wall_get_length (rhy_plan_get_wall (plan)), 1.0);
  order->camera = self->camera;
  order->options = self->options;
  order->options.dark = rhyton_look_is_dark (widget);
  order->width = width;
  order->height = height;
  order->pool = g_async_queue_ref (self->pool);
  return order;
}

static cairo_surface_t *
surface_of (Buffer *buffer,
            double  scale)
{
  static const cairo_user_data_key_t key;
  cairo_surface_t *surface = cairo_image_surface_create_for_data (buffer->pixels, CAIRO_FORMAT_ARGB32,
                                                                  buffer->width, buffer->height,
                                                                  buffer->stride);
  cairo_surface_set_device_scale (surface, scale, scale);
  cairo_surface_set_user_data (surface, &key, buffer, give_back);
  return surface;
}

static void
rendered (gpointer owner,
          gpointer result)
{
  RhytonVesselView *self = owner;
  Picture *picture = result;

  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_clear_pointer (&self->scene, rhy_scene_unref);
  g_clear_pointer (&self->trouble, g_free);
  self->plan = rhy_plan_ref (picture->plan);
  self->scene = g_steal_pointer (&picture->scene);
  self->draft = picture->draft;
  if (picture->error != NULL)
    self->trouble = g_strdup (picture->error->message);
  g_clear_pointer (&self->surface, cairo_surface_destroy);
  if (picture->buffer != NULL)
    self->surface = surface_of (g_steal_pointer (&picture->buffer),
                                gtk_widget_get_scale_factor (GTK_WIDGET (self)));
  free_picture (picture);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = render,
  .done = rendered,
  .free_input = free_order,
  .free_result = free_picture,
};

static void
tell_what_is_seen (RhytonVesselView *self)
{
  g_autofree char *selected = rhyton_hand_describe (&self->hand);
  g_autofree char *text = g_strdup_printf ("%s; turned %.0f\u00b0, lifted %.0f\u00b0, zoom %.2f", selected,
                                           self->camera.turn_rad * 180.0 / G_PI,
                                           self->camera.lift_rad * 180.0 / G_PI, self->camera.zoom);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

static void
refresh (RhytonVesselView *self)
{
  if (self->worker != NULL)
    rhyton_worker_request (self->worker);
}

void
rhyton_vessel_view_set_camera (RhytonVesselView *self,
                               RhyCamera         camera)
{
  g_return_if_fail (RHYTON_IS_VESSEL_VIEW (self));

  camera.turn_rad = remainder (camera.turn_rad, 2.0 * G_PI);
  camera.lift_rad = CLAMP (camera.lift_rad, -LIFT_MAX_RAD, LIFT_MAX_RAD);
  camera.zoom = CLAMP (camera.zoom, ZOOM_MIN, ZOOM_MAX);
  self->camera = camera;
  tell_what_is_seen (self);
  refresh (self);
}

RhyCamera
rhyton_vessel_view_get_camera (RhytonVesselView *self)
{
  g_return_val_if_fail (RHYTON_IS_VESSEL_VIEW (self), (RhyCamera) RHY_CAMERA_INIT);
  return self->camera;
}

void
rhyton_vessel_view_face (RhytonVesselView *self,
                         double            angle_rad)
{
  RhyCamera camera = RHY_CAMERA_INIT;
  camera.turn_rad = angle_rad;
  rhyton_vessel_view_set_camera (self, camera);
}

void
rhyton_vessel_view_set_stretch (RhytonVesselView *self,
                                gboolean          stretch)
{
  g_return_if_fail (RHYTON_IS_VESSEL_VIEW (self));

  self->options.stretch = stretch;
  refresh (self);
}

void
rhyton_vessel_view_point_at (RhytonVesselView   *self,
                             const RhyWallPoint *at)
{
  g_return_if_fail (RHYTON_IS_VESSEL_VIEW (self));

  self->points = at != NULL;
  if (at != NULL)
    {
      self->place = *at;
      rhyton_vessel_view_face (self, at->angle);
    }
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

RhyScene *
rhyton_vessel_view_get_scene (RhytonVesselView *self)
{
  g_return_val_if_fail (RHYTON_IS_VESSEL_VIEW (self), NULL);
  return self->scene;
}

RhyPlan *
rhyton_vessel_view_get_plan (RhytonVesselView *self)
{
  g_return_val_if_fail (RHYTON_IS_VESSEL_VIEW (self), NULL);
  return self->plan;
}

gboolean
rhyton_vessel_view_is_busy (RhytonVesselView *self)
{
  g_return_val_if_fail (RHYTON_IS_VESSEL_VIEW (self), FALSE);
  return self->worker != NULL && rhyton_worker_is_busy (self->worker);
}

/* The frame may be round another artwork now. */
static void
rhyton_vessel_view_job_changed (RhytonPart *part)
{
  tell_what_is_seen (RHYTON_VESSEL_VIEW (part));
  gtk_widget_queue_draw (GTK_WIDGET (part));
}

static void
rhyton_vessel_view_plan_changed (RhytonPart *part)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (part);

  tell_what_is_seen (self);
  if (rhyton_document_get_plan (rhyton_part_get_document (part)) == NULL)
    {
      g_clear_pointer (&self->surface, cairo_surface_destroy);
      g_clear_pointer (&self->scene, rhy_scene_unref);
      g_clear_pointer (&self->plan, rhy_plan_unref);
      gtk_widget_queue_draw (GTK_WIDGET (self));
    }
  refresh (self);
}

static gboolean locate (gpointer view, RhyWallPoint at, double *x, double *y);

static void
rhyton_vessel_view_snapshot (GtkWidget   *widget,
                             GtkSnapshot *snapshot)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (widget);
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (widget));
  const int width = gtk_widget_get_width (widget);
  const int height = gtk_widget_get_height (widget);

  if (self->surface == NULL)
    {
      const char *trouble = self->trouble;
      if (trouble == NULL && document != NULL)
        trouble = rhyton_document_get_trouble (document);
      rhyton_look_write (widget, snapshot, trouble);
      return;
    }
  const graphene_rect_t area = GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &area);
  const double scale = gtk_widget_get_scale_factor (widget);
  const double shown_width = cairo_image_surface_get_width (self->surface) / scale;
  const double shown_height = cairo_image_surface_get_height (self->surface) / scale;
  cairo_save (cr);
  /* Until the picture of a new size is there, the old one is stretched to it. */
  if (fabs (shown_width - width) > 0.5 || fabs (shown_height - height) > 0.5)
    {
      const double fit = MIN (width / shown_width, height / shown_height);
      cairo_translate (cr, 0.5 * (width - shown_width * fit), 0.5 * (height - shown_height * fit));
      cairo_scale (cr, fit, fit);
    }
  cairo_set_source_surface (cr, self->surface, 0.0, 0.0);
  cairo_paint (cr);
  cairo_restore (cr);
  rhyton_hand_draw (&self->hand, cr);
  if (self->points && self->scene != NULL)
    rhyton_frame_ring (widget, cr, locate, self->place);
  cairo_destroy (cr);
}

static void
rhyton_vessel_view_size_allocate (GtkWidget *widget,
                                  int        width,
                                  int        height,
                                  int        baseline)
{
  refresh (RHYTON_VESSEL_VIEW (widget));
}

static void
rhyton_vessel_view_css_changed (GtkWidget         *widget,
                                GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (rhyton_vessel_view_parent_class)->css_changed (widget, change);
  refresh (RHYTON_VESSEL_VIEW (widget));
}

/* The wall point under a pixel, in the newest camera and scene. */
static gboolean
pick (gpointer      view,
      double        x,
      double        y,
      RhyWallPoint *at)
{
  RhytonVesselView *self = view;
  const int width = gtk_widget_get_width (GTK_WIDGET (self));
  const int height = gtk_widget_get_height (GTK_WIDGET (self));
  return self->scene != NULL && width > 0 && height > 0
         && rhy_scene_pick (self->scene, &self->camera, width, height, x, y, at);
}

static double
get_slack_mm (gpointer view)
{
  RhytonVesselView *self = view;
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (RHYTON_PART (self)));
  if (plan == NULL)
    return 0.0;
  const double length = rhy_wall_get_length (rhy_plan_get_wall (plan));
  return GRIP_SLACK_PX * length / (self->camera.zoom * MAX (1, gtk_widget_get_height (GTK_WIDGET (self))));
}

static gboolean
locate (gpointer      view,
        RhyWallPoint  at,
        double       *x,
        double       *y)
{
  RhytonVesselView *self = view;
  return rhy_scene_project (self->scene, &self->camera, gtk_widget_get_width (view), gtk_widget_get_height (view),
                            at, x, y);
}

static RhyPlan *
get_plan (gpointer view)
{
  const RhytonVesselView *self = view;
  return self->scene != NULL ? self->plan : NULL;
}

static double
get_middle (gpointer view)
{
  return RHYTON_VESSEL_VIEW (view)->camera.turn_rad;
}

static gboolean
keeps_mark (gpointer view)
{
  return FALSE;
}

static const RhytonHandClass hand_class = {
  .get_plan = get_plan,
  .locate = locate,
  .pick = pick,
  .get_slack_mm = get_slack_mm,
  .get_middle = get_middle,
  .keeps_mark = keeps_mark,
};

static void
on_drag_begin (GtkGestureDrag   *gesture,
               double            x,
               double            y,
               RhytonVesselView *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  self->drag_camera = self->camera;
  rhyton_hand_take (&self->hand, x, y);
}

static void
on_drag_update (GtkGestureDrag   *gesture,
                double            dx,
                double            dy,
                RhytonVesselView *self)
{
  if (rhyton_hand_drag (&self->hand, dx, dy, gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (gesture))))
    return;
  /* Half the picture's shorter side is about a radian of a vessel that fits it. */
  const double size = MIN (gtk_widget_get_width (GTK_WIDGET (self)),
                           gtk_widget_get_height (GTK_WIDGET (self)));
  RhyCamera camera = self->drag_camera;
  camera.turn_rad -= dx / (0.35 * MAX (size, 1.0) * camera.zoom);
  camera.lift_rad += dy / (0.5 * MAX (size, 1.0) * camera.zoom);
  rhyton_vessel_view_set_camera (self, camera);
}

static void
on_drag_end (GtkGestureDrag   *gesture,
             double            dx,
             double            dy,
             RhytonVesselView *self)
{
  rhyton_hand_drop (&self->hand);
}

static void
on_pan_begin (GtkGestureDrag   *gesture,
              double            x,
              double            y,
              RhytonVesselView *self)
{
  self->drag_camera = self->camera;
}

static void
on_pan_update (GtkGestureDrag   *gesture,
               double            dx,
               double            dy,
               RhytonVesselView *self)
{
  RhyCamera camera = self->drag_camera;
  camera.pan_x += dx / MAX (1, gtk_widget_get_width (GTK_WIDGET (self)));
  camera.pan_y += dy / MAX (1, gtk_widget_get_height (GTK_WIDGET (self)));
  camera.turn_rad = self->camera.turn_rad;
  rhyton_vessel_view_set_camera (self, camera);
}

static void
on_motion (GtkEventControllerMotion *controller,
           double                    x,
           double                    y,
           RhytonVesselView         *self)
{
  rhyton_hand_hover (&self->hand, x, y);
}

static void
on_leave (GtkEventControllerMotion *controller,
          RhytonVesselView         *self)
{
  rhyton_hand_leave (&self->hand);
}

static gboolean
on_scroll (GtkEventControllerScroll *controller,
           double                    dx,
           double                    dy,
           RhytonVesselView         *self)
{
  RhyCamera camera = self->camera;
  camera.zoom *= pow (SCROLL_ZOOM, -dy);
  rhyton_vessel_view_set_camera (self, camera);
  return GDK_EVENT_STOP;
}

static gboolean
turn_by_key (RhytonVesselView *self,
             guint             keyval)
{
  RhyCamera camera = self->camera;

  switch (keyval)
    {
    case GDK_KEY_Left:
      camera.turn_rad += KEY_TURN_RAD;
      break;
    case GDK_KEY_Right:
      camera.turn_rad -= KEY_TURN_RAD;
      break;
    case GDK_KEY_Up:
      camera.lift_rad += KEY_TURN_RAD;
      break;
    case GDK_KEY_Down:
      camera.lift_rad -= KEY_TURN_RAD;
      break;
    default:
      return GDK_EVENT_PROPAGATE;
    }
  rhyton_vessel_view_set_camera (self, camera);
  return GDK_EVENT_STOP;
}

static gboolean
zoom_by_key (RhytonVesselView *self,
             guint             keyval)
{
  RhyCamera camera = self->camera;

  switch (keyval)
    {
    case GDK_KEY_plus:
    case GDK_KEY_equal:
    case GDK_KEY_KP_Add:
      camera.zoom *= SCROLL_ZOOM;
      break;
    case GDK_KEY_minus:
    case GDK_KEY_KP_Subtract:
      camera.zoom /= SCROLL_ZOOM;
      break;
    default:
      return GDK_EVENT_PROPAGATE;
    }
  rhyton_vessel_view_set_camera (self, camera);
  return GDK_EVENT_STOP;
}

static gboolean
on_key (GtkEventControllerKey *controller,
        guint                  keyval,
        guint                  keycode,
        GdkModifierType        state,
        RhytonVesselView      *self)
{
  if (state & GDK_CONTROL_MASK)
    return turn_by_key (self, keyval);
  if (rhyton_hand_key (&self->hand, keyval, state))
    return GDK_EVENT_STOP;
  return zoom_by_key (self, keyval);
}

static void
rhyton_vessel_view_dispose (GObject *object)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (object);

  g_clear_pointer (&self->worker, rhyton_worker_free);
  rhyton_hand_clear (&self->hand);
  gtk_widget_dispose_template (GTK_WIDGET (self), RHYTON_TYPE_VESSEL_VIEW);
  G_OBJECT_CLASS (rhyton_vessel_view_parent_class)->dispose (object);
}

static void
rhyton_vessel_view_finalize (GObject *object)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (object);

  g_clear_pointer (&self->surface, cairo_surface_destroy);
  g_clear_pointer (&self->scene, rhy_scene_unref);
  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_clear_pointer (&self->trouble, g_free);
  g_async_queue_unref (self->pool);
  G_OBJECT_CLASS (rhyton_vessel_view_parent_class)->finalize (object);
}

static void
rhyton_vessel_view_class_init (RhytonVesselViewClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  object_class->dispose = rhyton_vessel_view_dispose;
  object_class->finalize = rhyton_vessel_view_finalize;
  widget_class->snapshot = rhyton_vessel_view_snapshot;
  widget_class->size_allocate = rhyton_vessel_view_size_allocate;
  widget_class->css_changed = rhyton_vessel_view_css_changed;
  part_class->job_changed = rhyton_vessel_view_job_changed;
  part_class->plan_changed = rhyton_vessel_view_plan_changed;

  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_widget_class_set_css_name (widget_class, "view-picture");
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-vessel-view.ui");
  gtk_widget_class_bind_template_callback (widget_class, on_drag_begin);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_update);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_end);
  gtk_widget_class_bind_template_callback (widget_class, on_pan_begin);
  gtk_widget_class_bind_template_callback (widget_class, on_pan_update);
  gtk_widget_class_bind_template_callback (widget_class, on_motion);
  gtk_widget_class_bind_template_callback (widget_class, on_leave);
  gtk_widget_class_bind_template_callback (widget_class, on_scroll);
  gtk_widget_class_bind_template_callback (widget_class, on_key);
}

static void
rhyton_vessel_view_init (RhytonVesselView *self)
{
  self->camera = (RhyCamera) RHY_CAMERA_INIT;
  self->hand = (RhytonHand) { .klass = &hand_class, .view = RHYTON_PART (self) };
  self->options = (RhySceneOptions) RHY_SCENE_OPTIONS_INIT;
  self->pool = g_async_queue_new_full (free_buffer);
  self->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  "Artwork on the vessel", -1);
  tell_what_is_seen (self);
}
