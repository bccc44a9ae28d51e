/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-hand.h"
#include "rhyton-part.h"

G_BEGIN_DECLS

/**
 * RhytonSight:
 * @plan: what is to be seen
 * @is_draft: a hand is dragging it: quick rather than fine
 * @width, @height: of the picture, pixels
 * @scale: how many of them one of the widget's has
 * @look: from where; a view's own values
 */
typedef struct
{
  RhyPlan *plan;
  gboolean is_draft;
  int      width, height;
  int      scale;
  gpointer look;
} RhytonSight;

#define RHYTON_TYPE_VIEW (rhyton_view_get_type ())
/**
 * RhytonView:
 *
 * A picture of the wall, painted in a thread: what the pointer, the keys and the hand that holds
 * artwork do in all of them. Only finished pictures are shown, and the newest one always comes.
 * Dragging the artwork moves it, dragging anything else moves what is seen, scrolling zooms.
 */
G_DECLARE_DERIVABLE_TYPE (RhytonView, rhyton_view, RHYTON, VIEW, RhytonPart)

/**
 * RhytonViewClass:
 * @locate: where a wall point is seen
 * @pick: the wall point under a pixel
 * @get_slack_mm: how far beside something a pointer still finds it
 * @get_middle: the angle that the picture is about
 * @keeps_mark: (nullable): whether the first artwork stays in place: the picture is about its anchor
 * @look: Returns: (transfer full): for a #RhytonSight; freed by g_free()
 * @make: in a thread: what is made ready once for a plan, and painted as often as the look changes;
 *   %NULL with an error where there is nothing to be seen
 * @paint: in a thread: premultiplied BGRA over all of @pixels. @before: (nullable): the subject that they
 *   show now, painted by the same look and of the same size
 * @look_size: of what @look returns: looks of the same bytes are the same
 * @free_subject: frees what @make made
 * @decorate: (nullable): words over the picture
 * @grab: a drag beside the artwork begins
 * @turn: so many pixels from there, with the primary button
 * @shift: as @turn, with the middle button
 * @zoom: what is at (x, y) stays there as far as it can
 * @key: (nullable): Returns: whether it was one of the view's own
 * @describe: (nullable): Returns: (transfer full) (nullable): the look in words
 */
struct _RhytonViewClass
{
  RhytonPartClass parent_class;

  RhytonLocate locate;
  gboolean (*pick) (gpointer view, double x, double y, RhyWallPoint *at);
  double (*get_slack_mm) (gpointer view);
  double (*get_middle) (gpointer view);
  gboolean (*keeps_mark) (gpointer view);

  gpointer (*look) (RhytonView *self);
  gpointer (*make) (const RhytonSight *sight, GError **error);
  gsize look_size;
  void (*paint) (gconstpointer subject, gconstpointer before, const RhytonSight *sight, guint8 *pixels, int stride);
  GDestroyNotify free_subject;
  void (*decorate) (RhytonView *self, GtkSnapshot *snapshot);

  void (*grab) (RhytonView *self);
  void (*turn) (RhytonView *self, double dx, double dy);
  void (*shift) (RhytonView *self, double dx, double dy);
  void (*zoom) (RhytonView *self, double factor, double x, double y);
  gboolean (*key) (RhytonView *self, guint keyval, GdkModifierType state);
  char *(*describe) (RhytonView *self);
};

/** rhyton_view_get_plan: Returns: (nullable): the plan that the picture is of. */
RhyPlan *rhyton_view_get_plan (RhytonView *self);
/** rhyton_view_get_subject: Returns: (nullable): what was made ready of that plan. */
gpointer rhyton_view_get_subject (RhytonView *self);
/** rhyton_view_look_changed: there is another look, or another size or theme: it will be painted. */
void rhyton_view_look_changed (RhytonView *self);
/** rhyton_view_is_busy: Returns: whether a newer picture is on its way. */
gboolean rhyton_view_is_busy (RhytonView *self);
/** rhyton_view_point_at: draws a ring around a wall point; @at: %NULL takes the ring away. */
void rhyton_view_point_at (RhytonView *self, const RhyWallPoint *at);

G_END_DECLS
