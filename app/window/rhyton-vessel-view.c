/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-vessel-view.h"

#include <math.h>

#include "rhyton-look.h"

#define LIFT_MAX_RAD (85.0 / 180.0 * G_PI)
#define ZOOM_MIN 0.5
#define ZOOM_MAX 12.0
#define KEY_TURN_RAD (5.0 / 180.0 * G_PI)
/* Beside small artwork the pointer still finds it. */
#define GRIP_SLACK_PX 6.0

typedef struct
{
  RhyCamera       camera;
  RhySceneOptions options;
} Look;

struct _RhytonVesselView
{
  RhytonView      parent_instance;

  RhyCamera       camera;
  RhySceneOptions options;
  RhyCamera       drag_camera;  /* at the start of a drag */
};

G_DEFINE_FINAL_TYPE (RhytonVesselView, rhyton_vessel_view, RHYTON_TYPE_VIEW)

/* ---- the picture ---- */

static gpointer
look (RhytonView *view)
{
  const RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  Look *now = g_new0 (Look, 1);

  now->camera = self->camera;
  now->options = self->options;
  now->options.dark = rhyton_look_is_dark (GTK_WIDGET (view));
  return now;
}

/* What is dragged is gone before its finest detail could be seen. The wall fills the
 * height at most. */
static gpointer
make (const RhytonSight *sight,
      GError           **error)
{
  const Look *from = sight->look;
  const double length = rhy_wall_get_length (rhy_plan_get_wall (sight->plan));

  return sight->is_draft ? rhy_scene_new_draft (sight->plan, from->camera.zoom * sight->height / MAX (length, 1.0), error)
                         : rhy_scene_new (sight->plan, FALSE, error);
}

static void
paint (gconstpointer      scene,
       gconstpointer      before,
       const RhytonSight *sight,
       guint8            *pixels,
       int                stride)
{
  const Look *from = sight->look;
  rhy_scene_render_after (scene, before, &from->camera, &from->options, pixels, sight->width, sight->height, stride);
}

static void
free_scene (gpointer scene)
{
  rhy_scene_unref (scene);
}

static char *
describe (RhytonView *view)
{
  const RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  return g_strdup_printf ("turned %.0f\u00b0, lifted %.0f\u00b0, zoom %.2f", self->camera.turn_rad * 180.0 / G_PI,
                          self->camera.lift_rad * 180.0 / G_PI, self->camera.zoom);
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
  rhyton_view_look_changed (RHYTON_VIEW (self));
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
  rhyton_view_look_changed (RHYTON_VIEW (self));
}

RhyScene *
rhyton_vessel_view_get_scene (RhytonVesselView *self)
{
  g_return_val_if_fail (RHYTON_IS_VESSEL_VIEW (self), NULL);
  return rhyton_view_get_subject (RHYTON_VIEW (self));
}

/* ---- pixels and the wall, in the newest camera and scene ---- */

static gboolean
pick (gpointer      view,
      double        x,
      double        y,
      RhyWallPoint *at)
{
  RhytonVesselView *self = view;
  const RhyScene *scene = rhyton_view_get_subject (view);
  const int width = gtk_widget_get_width (view), height = gtk_widget_get_height (view);
  return scene != NULL && width > 0 && height > 0 && rhy_scene_pick (scene, &self->camera, width, height, x, y, at);
}

static gboolean
locate (gpointer      view,
        RhyWallPoint  at,
        double       *x,
        double       *y)
{
  RhytonVesselView *self = view;
  const RhyScene *scene = rhyton_view_get_subject (view);
  return scene != NULL && rhy_scene_project (scene, &self->camera, gtk_widget_get_width (view), gtk_widget_get_height (view), at, x, y);
}

static double
get_slack_mm (gpointer view)
{
  RhytonVesselView *self = view;
  RhyPlan *plan = rhyton_view_get_plan (view);
  if (plan == NULL)
    return 0.0;
  const double length = rhy_wall_get_length (rhy_plan_get_wall (plan));
  return GRIP_SLACK_PX * length / (self->camera.zoom * MAX (1, gtk_widget_get_height (GTK_WIDGET (self))));
}

static double
get_middle (gpointer view)
{
  return RHYTON_VESSEL_VIEW (view)->camera.turn_rad;
}

/* ---- the pointer and the keys ---- */

static void
grab (RhytonView *view)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  self->drag_camera = self->camera;
}

static void
turn (RhytonView *view,
      double      dx,
      double      dy)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  /* Half the picture's shorter side is about a radian of a vessel that fits it. */
  const double size = MIN (gtk_widget_get_width (GTK_WIDGET (self)), gtk_widget_get_height (GTK_WIDGET (self)));
  RhyCamera camera = self->drag_camera;

  camera.turn_rad -= dx / (0.35 * MAX (size, 1.0) * camera.zoom);
  camera.lift_rad += dy / (0.5 * MAX (size, 1.0) * camera.zoom);
  rhyton_vessel_view_set_camera (self, camera);
}

static void
shift (RhytonView *view,
       double      dx,
       double      dy)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  RhyCamera camera = self->drag_camera;

  camera.pan_x += dx / MAX (1, gtk_widget_get_width (GTK_WIDGET (self)));
  camera.pan_y += dy / MAX (1, gtk_widget_get_height (GTK_WIDGET (self)));
  camera.turn_rad = self->camera.turn_rad;
  rhyton_vessel_view_set_camera (self, camera);
}

/* About the vessel's middle, wherever the pointer is. */
static void
zoom (RhytonView *view,
      double      factor,
      double      x,
      double      y)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
  RhyCamera camera = self->camera;

  camera.zoom *= factor;
  rhyton_vessel_view_set_camera (self, camera);
}

static gboolean
turn_by_key (RhytonView      *view,
             guint            keyval,
             GdkModifierType  state)
{
  RhytonVesselView *self = RHYTON_VESSEL_VIEW (view);
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

static void
rhyton_vessel_view_class_init (RhytonVesselViewClass *klass)
{
  RhytonViewClass *view_class = RHYTON_VIEW_CLASS (klass);

  view_class->locate = locate;
  view_class->pick = pick;
  view_class->get_slack_mm = get_slack_mm;
  view_class->get_middle = get_middle;
  view_class->look = look;
  view_class->look_size = sizeof (Look);
  view_class->make = make;
  view_class->paint = paint;
  view_class->free_subject = free_scene;
  view_class->grab = grab;
  view_class->turn = turn;
  view_class->shift = shift;
  view_class->zoom = zoom;
  view_class->key = turn_by_key;
  view_class->describe = describe;
}

static void
rhyton_vessel_view_init (RhytonVesselView *self)
{
  self->camera = (RhyCamera) RHY_CAMERA_INIT;
  self->options = (RhySceneOptions) RHY_SCENE_OPTIONS_INIT;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Artwork on the vessel", -1);
}
