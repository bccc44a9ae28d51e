/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "scene-private.h"

#include <math.h>
#include <string.h>

#include "../art/late-cairo.h"

/* --- the scene ------------------------------------------------------------ */

static double
bell (double x,
      double middle,
      double width)
{
  const double q = (x - middle) / width;
  return exp (-q * q);
}

/* Satin metal in a room with a tall window on the left and a low one on the
 * right: calm across the middle, where the artwork is read. What depends on x alone is worked out
 * once a column: a drag makes a scene at every frame. */
static void
make_light (RhyScene *self)
{
  double windows[RHY_SCENE_BALL], edges[RHY_SCENE_BALL], shade[RHY_SCENE_BALL];
  for (int i = 0; i < RHY_SCENE_BALL; i++)
    {
      const double x = 2.0 * i / (RHY_SCENE_BALL - 1) - 1.0;
      windows[i] = 0.20 * bell (x, -0.50, 0.17) + 0.06 * bell (x, 0.66, 0.12);
      edges[i] = 0.30 * pow (fabs (x), 6.0);
      shade[i] = 0.05 * bell (x, 0.30, 0.25);
    }
  for (int j = 0; j < RHY_SCENE_BALL; j++)
    for (int i = 0; i < RHY_SCENE_BALL; i++)
      {
        const double x = 2.0 * i / (RHY_SCENE_BALL - 1) - 1.0, y = 2.0 * j / (RHY_SCENE_BALL - 1) - 1.0;
        const double z = sqrt (1.0 - MIN (x * x + y * y, 1.0));
        self->light[j * RHY_SCENE_BALL + i] = (float) (0.60 + 0.13 * z + 0.10 * y + windows[i] - edges[i] - shade[i]);
      }
}

static void
clear_scene (gpointer data)
{
  RhyScene *self = data;
  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_clear_pointer (&self->lathe, rhy_lathe_free);
  g_clear_pointer (&self->drawing, rhy_artwork_unref);
  for (int i = 0; i < RHY_SCENE_SKIN_N; i++)
    g_clear_pointer (&self->skins[i], rhy_texture_free);
  g_mutex_clear (&self->lock);
}

RhyScene *
rhy_scene_new_burnt (RhyPlan *plan,
                     GError **error)
{
  RhyScene *scene = rhy_scene_new (plan, TRUE, NULL);
  return scene != NULL ? scene : rhy_scene_new (plan, FALSE, error);
}

RhyScene *
rhy_scene_ref (RhyScene *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_scene_unref (RhyScene *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear_scene);
}

static RhyArtwork *
all_artwork (const RhyPlan *plan)
{
  g_autoptr (GPtrArray) all = g_ptr_array_new ();
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    g_ptr_array_add (all, rhy_plan_get_artwork (rhy_plan_get_part (plan, i)));
  return rhy_artwork_joined ((RhyArtwork *const *) all->pdata, all->len);
}

static RhyScene *
make_scene (RhyPlan  *plan,
            gboolean  through_machine,
            double    finest_per_mm,
            GError  **error)
{
  RhyArtwork *drawing = through_machine ? rhy_plan_bend (plan, RHY_SPACE_BED, NULL, error) : all_artwork (plan);
  if (drawing == NULL)
    return NULL;

  RhyScene *self = g_atomic_rc_box_new0 (RhyScene);
  g_mutex_init (&self->lock);
  self->plan = rhy_plan_ref (plan);
  self->drawing = drawing;
  self->through_machine = through_machine;
  self->finest_per_mm = finest_per_mm;
  self->lathe = rhy_lathe_new (rhy_plan_get_wall (plan));
  make_light (self);
  self->skins[RHY_SCENE_SKIN_PLAIN] = rhy_scene_make_skin (self, RHY_SCENE_SKIN_PLAIN, error);
  if (self->skins[RHY_SCENE_SKIN_PLAIN] == NULL)
    g_clear_pointer (&self, rhy_scene_unref);
  return self;
}

RhyScene *
rhy_scene_new (RhyPlan  *plan,
               gboolean  through_machine,
               GError  **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  return make_scene (plan, through_machine, RHY_TEXTURE_FINEST_PER_MM, error);
}

RhyScene *
rhy_scene_new_draft (RhyPlan *plan,
                     double   per_mm,
                     GError **error)
{
  g_return_val_if_fail (plan != NULL && per_mm > 0.0, NULL);

  return make_scene (plan, FALSE, CLAMP (per_mm, 1.0, RHY_TEXTURE_FINEST_PER_MM), error);
}

const RhyTexture *
rhy_scene_get_skin (RhyScene     *self,
                    RhySceneSkin  skin)
{
  g_mutex_lock (&self->lock);
  if (self->skins[skin] == NULL)
    self->skins[skin] = rhy_scene_make_skin (self, skin, NULL);
  const RhyTexture *texture = self->skins[skin] != NULL ? self->skins[skin] : self->skins[RHY_SCENE_SKIN_PLAIN];
  g_mutex_unlock (&self->lock);
  return texture;
}

/* --- pointing ------------------------------------------------------------- */

static void
one_ray (const RhyScene *self,
         const RhyEye   *eye,
         double          px,
         double          py,
         RhyRays        *rays,
         RhyHits        *hits)
{
  const float a[4] = { (float) ((px - eye->centre_x) / eye->per_mm) };
  const float b[4] = { (float) ((eye->centre_y - py) / eye->per_mm) };
  memset (rays, 0, sizeof *rays);
  rhy_eye_aim (eye, 1, a, b, rays);
  rhy_lathe_trace (self->lathe, eye, NULL, 0, 1, rays, hits);
}

gboolean
rhy_scene_pick (const RhyScene  *self,
                const RhyCamera *camera,
                int              width,
                int              height,
                double           x,
                double           y,
                RhyWallPoint    *at)
{
  g_return_val_if_fail (self != NULL && camera != NULL && at != NULL, FALSE);

  const RhyEye eye = rhy_eye_new (self->lathe, camera, width, height);
  RhyRays rays;
  RhyHits hits;
  one_ray (self, &eye, x, y, &rays, &hits);
  const gint32 met = hits.met[0];
  if (met < 0 || met >= self->lathe->n_outside)
    return FALSE;

  const RhyBand *band = &self->lathe->bands[met];
  const double t = hits.t[0];
  const double px = rays.ox[0] + t * rays.dx[0];
  const double py = rays.oy[0] + t * rays.dy[0];
  const double pz = rays.oz[0] + t * rays.dz[0];
  const double length = rhy_wall_get_length (rhy_plan_get_wall (self->plan));
  at->s = CLAMP (band->s0 + (pz - band->z0) * band->s_per_z, 0.0, length);
  at->angle = camera->turn_rad + atan2 (px, -py);
  return TRUE;
}

gboolean
rhy_scene_project (const RhyScene  *self,
                   const RhyCamera *camera,
                   int              width,
                   int              height,
                   RhyWallPoint     at,
                   double          *x,
                   double          *y)
{
  g_return_val_if_fail (self != NULL && camera != NULL && x != NULL && y != NULL, FALSE);

  RhyWall *wall = rhy_plan_get_wall (self->plan);
  if (!rhy_wall_has (wall, at.s) || !isfinite (at.angle))
    return FALSE;
  const RhyEye eye = rhy_eye_new (self->lathe, camera, width, height);
  const RhyRing ring = rhy_wall_at (wall, at.s);
  const double around = at.angle - camera->turn_rad;
  double px, py;
  const double t = rhy_eye_project (&eye, ring.r_mm * sin (around), -ring.r_mm * cos (around),
                                    ring.z_mm - self->lathe->z_middle, &px, &py);
  RhyRays rays;
  RhyHits hits;
  one_ray (self, &eye, px, py, &rays, &hits);
  /* Hidden when something stands nearer; at the very silhouette the ray may slip
   * past, and the point still counts if it faces the eye. */
  const double slack = 0.01 * self->lathe->reach;
  if (hits.met[0] != RHY_MET_NOTHING && hits.t[0] < t - slack)
    return FALSE;
  const double facing = cos (around) * cos (ring.slope_rad) * eye.cos_lift - sin (ring.slope_rad) * eye.sin_lift;
  if (hits.met[0] == RHY_MET_NOTHING && facing < -0.2)
    return FALSE;
  *x = px;
  *y = py;
  return TRUE;
}

/* --- PNG ------------------------------------------------------------------ */

static cairo_status_t
gather (void                *closure,
        const unsigned char *data,
        unsigned int         length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

GBytes *
rhy_scene_to_png (const RhyScene        *self,
                  const RhyCamera       *camera,
                  const RhySceneOptions *options,
                  int                    width,
                  int                    height,
                  GError               **error)
{
  g_return_val_if_fail (self != NULL && camera != NULL, NULL);

  if (!(width >= 1 && width <= 16384 && height >= 1 && height <= 16384))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture of %d x %d pixels: each side must be from 1 to 16384",
                   width, height);
      return NULL;
    }
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  cairo_status_t status = cairo_surface_status (surface);
  g_autoptr (GByteArray) png = g_byte_array_new ();
  if (status == CAIRO_STATUS_SUCCESS)
    {
      rhy_scene_render (self, camera, options, cairo_image_surface_get_data (surface), width, height,
                        cairo_image_surface_get_stride (surface));
      cairo_surface_mark_dirty (surface);
      status = cairo_surface_write_to_png_stream (surface, gather, png);
    }
  cairo_surface_destroy (surface);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture: %s", cairo_status_to_string (status));
      return NULL;
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&png));
}
