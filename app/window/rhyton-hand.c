/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-hand.h"

#include "rhyton-look.h"
#include "rhyton-panel.h"

/* A place draws artwork to it from as far as a handle is found from, but neither so far that
 * nothing could be put beside it, nor so near that no hand finds it. */
#define SNAP_LEAST_MM 0.3
#define SNAP_MOST_MM 2.0

static RhytonDocument *
document_of (const RhytonHand *self)
{
  return rhyton_part_get_document (self->view);
}

/* Of what is shown, which may be a plan older than the job. */
static const RhyPlan *
selected_part (const RhytonHand *self)
{
  RhyPlan *plan = self->klass->get_plan (self->view);
  const gsize selected = rhyton_document_get_selected (document_of (self));
  return plan != NULL && selected < rhy_plan_get_n_parts (plan) ? rhy_plan_get_part (plan, selected) : NULL;
}

/* The artwork whose ink's box is under a pixel: the selected one first, then what
 * was drawn last. */
static gboolean
find_artwork (RhytonHand   *self,
              RhyWallPoint  at,
              gsize        *found)
{
  RhyPlan *plan = self->klass->get_plan (self->view);
  const double slack_mm = self->klass->get_slack_mm (self->view);
  const gsize selected = rhyton_document_get_selected (document_of (self));
  const gsize n = rhy_plan_get_n_parts (plan);

  if (selected < n && rhyton_grip_is_over (rhy_plan_get_part (plan, selected), at, slack_mm))
    {
      *found = selected;
      return TRUE;
    }
  for (gsize i = n; i > 0; i--)
    if (rhyton_grip_is_over (rhy_plan_get_part (plan, i - 1), at, slack_mm))
      {
        *found = i - 1;
        return TRUE;
      }
  return FALSE;
}

/* What is at a pixel: a handle of the selected artwork, the body of any, or a zone. */
static RhytonHandle
look_at (RhytonHand      *self,
         double           x,
         double           y,
         gsize           *part,
         RhytonZonePlace *zone)
{
  RhyPlan *plan = document_of (self) != NULL ? self->klass->get_plan (self->view) : NULL;
  const RhyPlan *selected = plan != NULL ? selected_part (self) : NULL;
  RhyWallPoint at;

  *zone = (RhytonZonePlace) { .edge = RHYTON_ZONE_EDGE_NONE };
  if (plan == NULL)
    return RHYTON_HANDLE_NONE;
  *part = rhyton_document_get_selected (document_of (self));
  const RhytonHandle handle = selected != NULL ? rhyton_frame_hit (selected, self->klass->locate, self->view, x, y)
                                               : RHYTON_HANDLE_NONE;
  if (handle != RHYTON_HANDLE_NONE)
    return handle;
  if (!self->klass->pick (self->view, x, y, &at))
    return RHYTON_HANDLE_NONE;
  if (find_artwork (self, at, part))
    return RHYTON_HANDLE_BODY;
  *zone = rhyton_zone_grip_find (plan, at, self->klass->get_slack_mm (self->view));
  return RHYTON_HANDLE_NONE;
}

gboolean
rhyton_hand_is_held (const RhytonHand *self)
{
  return self->grip.handle != RHYTON_HANDLE_NONE || self->zone.place.edge != RHYTON_ZONE_EDGE_NONE;
}

static gboolean
stays (const RhytonHand *self,
       gsize             part)
{
  return part == 0 && self->klass->keeps_mark (self->view);
}

static const char *
cursor_for (const RhytonHand *self,
            RhytonHandle      handle,
            gsize             part,
            RhytonZonePlace   zone)
{
  if (handle == RHYTON_HANDLE_BODY && stays (self, part))
    return "pointer";
  return handle != RHYTON_HANDLE_NONE ? rhyton_look_cursor (handle) : rhyton_zone_grip_cursor (zone);
}

gboolean
rhyton_hand_take (RhytonHand *self,
                  double      x,
                  double      y)
{
  RhytonDocument *document = document_of (self);
  RhytonZonePlace zone;
  RhyWallPoint at;
  gsize part = 0;

  rhyton_hand_drop (self);
  self->over_other = FALSE;
  self->x = x;
  self->y = y;
  const RhytonHandle handle = look_at (self, x, y, &part, &zone);
  if (handle != RHYTON_HANDLE_NONE)
    rhyton_document_select (document, part);
  if (document != NULL && self->klass->pick (self->view, x, y, &at))
    {
      /* The picture is about its anchor: moving it would take the page along. */
      if (handle != RHYTON_HANDLE_NONE && !(handle == RHYTON_HANDLE_BODY && stays (self, part)))
        rhyton_grip_take (&self->grip, document, handle, at);
      else if (zone.edge != RHYTON_ZONE_EDGE_NONE)
        rhyton_zone_grip_take (&self->zone, document, zone, at);
    }
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self->view), rhyton_hand_is_held (self) ? "grabbing" : "all-scroll");
  return rhyton_hand_is_held (self);
}

static double
snap_reach (const RhytonHand *self)
{
  return CLAMP (self->klass->get_slack_mm (self->view), SNAP_LEAST_MM, SNAP_MOST_MM);
}

gboolean
rhyton_hand_drag (RhytonHand      *self,
                  double           dx,
                  double           dy,
                  GdkModifierType  state)
{
  const gboolean free = (state & GDK_ALT_MASK) != 0;
  RhyWallPoint at;

  if (!rhyton_hand_is_held (self))
    return FALSE;
  if (self->klass->pick (self->view, self->x + dx, self->y + dy, &at))
    {
      if (self->grip.handle != RHYTON_HANDLE_NONE)
        rhyton_grip_move (&self->grip, document_of (self), at, free ? 0.0 : snap_reach (self));
      else
        rhyton_zone_grip_move (&self->zone, document_of (self), at, free);
    }
  return TRUE;
}

void
rhyton_hand_drop (RhytonHand *self)
{
  RhytonDocument *document = document_of (self);

  if (document != NULL)
    {
      rhyton_grip_drop (&self->grip, document);
      rhyton_zone_grip_drop (&self->zone, document);
    }
  gtk_widget_queue_draw (GTK_WIDGET (self->view));
  gtk_widget_set_cursor (GTK_WIDGET (self->view), NULL);
}

void
rhyton_hand_hover (RhytonHand *self,
                   double      x,
                   double      y)
{
  const gboolean was_hovered = self->hovered;
  const RhytonZonePlace before = self->over;
  const gboolean was_other = self->over_other;
  const gsize other = self->other;

  self->hovered = TRUE;
  if (rhyton_hand_is_held (self))
    return;
  const RhytonHandle handle = look_at (self, x, y, &self->other, &self->over);
  self->over_other = handle == RHYTON_HANDLE_BODY && self->other != rhyton_document_get_selected (document_of (self));
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self->view), cursor_for (self, handle, self->other, self->over));
  if (!was_hovered || before.edge != self->over.edge || before.zone != self->over.zone
      || was_other != self->over_other || other != self->other)
    gtk_widget_queue_draw (GTK_WIDGET (self->view));
}

void
rhyton_hand_leave (RhytonHand *self)
{
  self->hovered = self->over_other = FALSE;
  self->over = (RhytonZonePlace) { .edge = RHYTON_ZONE_EDGE_NONE };
  gtk_widget_queue_draw (GTK_WIDGET (self->view));
}

gboolean
rhyton_hand_key (RhytonHand      *self,
                 guint            keyval,
                 GdkModifierType  state)
{
  RhytonDocument *document = document_of (self);

  if (document == NULL)
    return FALSE;
  const gsize n = rhy_job_get_data (rhyton_document_get_job (document))->n_artworks;
  const gsize selected = rhyton_document_get_selected (document);
  switch (keyval)
    {
    case GDK_KEY_Page_Down:
    case GDK_KEY_KP_Page_Down:
      rhyton_document_select (document, (selected + 1) % n);
      return TRUE;
    case GDK_KEY_Page_Up:
    case GDK_KEY_KP_Page_Up:
      rhyton_document_select (document, (selected + n - 1) % n);
      return TRUE;
    default:
      return rhyton_look_nudge (document, keyval, state);
    }
}

/* The line that it lies on with its word, or the two distances with their length. */
static void
draw_snap (const RhytonHand *self,
           cairo_t          *cr,
           const RhySnap    *snap)
{
  GtkWidget *widget = GTK_WIDGET (self->view);
  g_autofree char *words = snap->gap_mm > 0.0 ? rhyton_panel_format_mm (document_of (self), snap->gap_mm)
                                              : rhy_snap_dup_words (snap);
  const double middle = self->klass->get_middle (self->view);

  for (gsize i = 0; i < snap->n_lines; i++)
    {
      const RhyWallPoint ring[2] = { { snap->lines[i][0].s, middle - G_PI }, { snap->lines[i][1].s, middle + G_PI } };
      const gboolean is_ring = snap->lines[i][1].angle - snap->lines[i][0].angle > 1.9 * G_PI;
      rhyton_frame_guide (widget, cr, self->klass->locate, is_ring ? ring : snap->lines[i], snap->gap_mm > 0.0, words);
    }
}

char *
rhyton_hand_describe (const RhytonHand *self)
{
  RhytonDocument *document = document_of (self);
  return document != NULL ? rhyton_grip_describe_artwork (document, rhyton_document_get_selected (document))
                          : g_strdup ("no artwork");
}

/* What is held, pointed at, or moved by keys. */
static char *
note_for (const RhytonHand *self,
          RhytonZonePlace   zone)
{
  RhytonDocument *document = document_of (self);

  if (self->grip.handle != RHYTON_HANDLE_NONE)
    return rhyton_grip_describe (&self->grip, document);
  if (zone.edge != RHYTON_ZONE_EDGE_NONE)
    return rhyton_zone_grip_describe (zone, document);
  if (self->over_other && self->other < rhy_job_get_data (rhyton_document_get_job (document))->n_artworks)
    return rhyton_grip_describe_artwork (document, self->other);
  return gtk_widget_has_visible_focus (GTK_WIDGET (self->view)) ? rhyton_hand_describe (self) : NULL;
}

/* A picture to look at stays clean. */
static RhyPlan *
plan_under_hand (const RhytonHand *self)
{
  RhyPlan *plan = document_of (self) != NULL ? self->klass->get_plan (self->view) : NULL;
  const gboolean near = self->hovered || rhyton_hand_is_held (self) || gtk_widget_has_visible_focus (GTK_WIDGET (self->view));
  return near ? plan : NULL;
}

static RhytonZonePlace
zone_under_hand (const RhytonHand *self)
{
  return self->zone.place.edge != RHYTON_ZONE_EDGE_NONE ? self->zone.place : self->over;
}

void
rhyton_hand_draw (RhytonHand *self,
                  cairo_t    *cr)
{
  RhyPlan *plan = plan_under_hand (self);
  const RhyPlan *part = plan != NULL ? selected_part (self) : NULL;
  const RhytonZonePlace zone = zone_under_hand (self);
  GtkWidget *widget = GTK_WIDGET (self->view);

  if (plan == NULL)
    return;
  if (self->over_other && self->other < rhy_plan_get_n_parts (plan))
    rhyton_frame_outline (widget, cr, rhy_plan_get_part (plan, self->other), self->klass->locate);
  if (part != NULL)
    rhyton_frame_draw (widget, cr, part, self->klass->locate);
  for (gsize i = 0; i < self->grip.n_snaps; i++)
    draw_snap (self, cr, &self->grip.snaps[i]);
  if (zone.edge != RHYTON_ZONE_EDGE_NONE)
    rhyton_frame_outline_zone (widget, cr, plan, zone.zone, self->klass->locate);
}

void
rhyton_hand_draw_note (RhytonHand *self,
                       cairo_t    *cr)
{
  g_autofree char *note = plan_under_hand (self) != NULL ? note_for (self, zone_under_hand (self)) : NULL;
  if (note != NULL)
    rhyton_frame_note (GTK_WIDGET (self->view), cr, note);
}

void
rhyton_hand_clear (RhytonHand *self)
{
  g_clear_pointer (&self->grip.plan, rhy_plan_unref);
  self->grip.handle = RHYTON_HANDLE_NONE;
  self->zone.place.edge = RHYTON_ZONE_EDGE_NONE;
}
