/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/scene.h>

#include "lathe.h"
#include "texture.h"

G_BEGIN_DECLS

/* Light is a table over the normal as the eye sees it: a still studio that goes
 * with the camera, so a turned vessel is lit the same from every side. */
#define RHY_SCENE_BALL 128

typedef enum
{
  RHY_SCENE_SKIN_PLAIN,
  RHY_SCENE_SKIN_STRETCH,
  RHY_SCENE_SKIN_CIRCLES,
  RHY_SCENE_SKIN_N,
} RhySceneSkin;

struct _RhyScene
{
  RhyPlan    *plan;
  RhyLathe   *lathe;
  gboolean    through_machine;
  RhyArtwork *drawing;          /* what is placed: the art, or the bed drawing */
  double      finest_per_mm;    /* of what is painted on the wall */
  float       light[RHY_SCENE_BALL * RHY_SCENE_BALL];

  /* Made when first looked at; a skin never changes after that. */
  GMutex      lock;
  RhyTexture *skins[RHY_SCENE_SKIN_N];
};

/* scene-skin.c: what is painted on the wall. NULL with an error when memory is short. */
RhyTexture *rhy_scene_make_skin (const RhyScene *self, RhySceneSkin skin, GError **error);
/* Blue through near white to orange, -1 to 1: told apart with any common kind of colour
 * blindness, and the two ends differ in lightness from the middle alike. */
void rhy_scene_stretch_colour (double x, double rgb[3]);
/* The end of that scale, percent: a round number that holds what is under the ink. */
double rhy_scene_stretch_end (const RhyPlan *plan);

/* scene.c: where memory is short for another skin the plain one is shown. */
const RhyTexture *rhy_scene_get_skin (RhyScene *self, RhySceneSkin skin);

G_END_DECLS
