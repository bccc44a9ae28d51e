/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-frame.h"
#include "rhyton-part.h"
#include "rhyton-zone-grip.h"

G_BEGIN_DECLS

/**
 * RhytonHandClass: how a view turns its pixels into wall points, and back.
 * @get_plan: Returns: (nullable): the plan of what is shown
 * @locate: where a wall point is seen
 * @pick: the wall point under a pixel
 * @get_slack_mm: how far beside something a pointer still finds it
 * @get_middle: the angle that the picture is about
 * @keeps_mark: whether the first artwork stays in place: the picture is about its anchor
 */
typedef struct
{
  RhyPlan *(*get_plan) (gpointer view);
  RhytonLocate locate;
  gboolean (*pick) (gpointer view, double x, double y, RhyWallPoint *at);
  double (*get_slack_mm) (gpointer view);
  double (*get_middle) (gpointer view);
  gboolean (*keeps_mark) (gpointer view);
} RhytonHandClass;

/**
 * RhytonHand:
 *
 * The pointer in a view: what it is over, what it has taken hold of. The same for
 * every view of the wall. A value; start from zeros, end with rhyton_hand_clear().
 */
typedef struct
{
  const RhytonHandClass *klass;
  RhytonPart            *view;          /* unowned */
  RhytonGrip             grip;
  RhytonZoneGrip         zone;
  RhytonZonePlace        over;          /* the zone under the pointer, if artwork is not */
  gboolean               over_other;    /* artwork that is not selected is: */
  gsize                  other;
  double                 x, y;          /* where it took hold */
  gboolean               hovered;
} RhytonHand;

/** rhyton_hand_take: selects the artwork at a pixel. Returns: whether something is held now, to be dragged. */
gboolean rhyton_hand_take (RhytonHand *self, double x, double y);
/** rhyton_hand_is_held: Returns: whether something is. */
gboolean rhyton_hand_is_held (const RhytonHand *self);
/** rhyton_hand_drag: from where it took hold. Returns: whether something is held. */
gboolean rhyton_hand_drag (RhytonHand *self, double dx, double dy, GdkModifierType state);
void rhyton_hand_drop (RhytonHand *self);
void rhyton_hand_hover (RhytonHand *self, double x, double y);
void rhyton_hand_leave (RhytonHand *self);
/** rhyton_hand_key: Returns: whether the key was one that moves artwork or selects another. */
gboolean rhyton_hand_key (RhytonHand *self, guint keyval, GdkModifierType state);
/** rhyton_hand_describe: Returns: (transfer full): what is selected, for a screen reader. */
char *rhyton_hand_describe (const RhytonHand *self);
/** rhyton_hand_draw: the frame, while the pointer is there; a picture to look at stays clean. */
void rhyton_hand_draw (RhytonHand *self, cairo_t *cr);
/** rhyton_hand_draw_note: at the foot: what is held, pointed at, or moved by keys. */
void rhyton_hand_draw_note (RhytonHand *self, cairo_t *cr);
void rhyton_hand_clear (RhytonHand *self);

G_END_DECLS
