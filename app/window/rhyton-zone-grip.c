/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-zone-grip.h"

#include <math.h>

#include "rhyton-panel.h"

/* A zone that is dragged shut stays there to be opened again. */
#define SIZE_LEAST_MM 1.0
#define WIDTH_LEAST_DEG 1.0
#define ALL_ROUND_RAD (2.0 * G_PI - 1e-9)

static const RhyJobData *
data_of (RhytonDocument *document)
{
  return rhy_job_get_data (rhyton_document_get_job (document));
}

static gboolean
is_all_round (const RhyZone *zone)
{
  return zone->width_rad >= ALL_ROUND_RAD;
}

/* A zone's heights as slants; one that is off the wall ends where the wall does. */
static double
slant_at (RhyWall *wall,
          double   z_mm)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z_mm, &ring))
    return ring.s_mm;
  return z_mm <= rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall);
}

static RhytonZoneEdge
edge_at (RhyWall       *wall,
         const RhyZone *zone,
         RhyWallPoint   at,
         double         slack_mm)
{
  const double low = slant_at (wall, zone->from_mm), high = slant_at (wall, zone->to_mm);
  const double around_mm = remainder (at.angle - zone->centre_rad, 2.0 * G_PI) * rhy_wall_at (wall, at.s).r_mm;
  const double half_mm = 0.5 * zone->width_rad * rhy_wall_at (wall, at.s).r_mm;
  const gboolean all_round = is_all_round (zone);

  if (at.s < low - slack_mm || at.s > high + slack_mm || (!all_round && fabs (around_mm) > half_mm + slack_mm))
    return RHYTON_ZONE_EDGE_NONE;
  /* At the wall's own ends there is nothing to draw out. */
  if (fabs (at.s - high) <= slack_mm && high < rhy_wall_get_length (wall))
    return RHYTON_ZONE_EDGE_HIGH;
  if (fabs (at.s - low) <= slack_mm && low > 0.0)
    return RHYTON_ZONE_EDGE_LOW;
  if (all_round)
    return RHYTON_ZONE_EDGE_NONE;
  if (fabs (around_mm + half_mm) <= slack_mm)
    return RHYTON_ZONE_EDGE_LEFT;
  if (fabs (around_mm - half_mm) <= slack_mm)
    return RHYTON_ZONE_EDGE_RIGHT;
  return RHYTON_ZONE_EDGE_BODY;
}

RhytonZonePlace
rhyton_zone_grip_find (const RhyPlan *plan,
                       RhyWallPoint   at,
                       double         slack_mm)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));

  for (gsize i = data->n_zones; i > 0; i--)
    {
      const RhytonZoneEdge edge = edge_at (rhy_plan_get_wall (plan), &data->zones[i - 1], at, slack_mm);
      if (edge != RHYTON_ZONE_EDGE_NONE)
        return (RhytonZonePlace) { edge, i - 1 };
    }
  return (RhytonZonePlace) { .edge = RHYTON_ZONE_EDGE_NONE };
}

const char *
rhyton_zone_grip_cursor (RhytonZonePlace place)
{
  switch (place.edge)
    {
    case RHYTON_ZONE_EDGE_BODY:
      return "grab";
    case RHYTON_ZONE_EDGE_LOW:
    case RHYTON_ZONE_EDGE_HIGH:
    case RHYTON_ZONE_EDGE_LEFT:
    case RHYTON_ZONE_EDGE_RIGHT:
      return "move";
    case RHYTON_ZONE_EDGE_NONE:
    default:
      return NULL;
    }
}

void
rhyton_zone_grip_take (RhytonZoneGrip  *self,
                       RhytonDocument  *document,
                       RhytonZonePlace  place,
                       RhyWallPoint     at)
{
  const RhyJobData *data = data_of (document);

  rhyton_zone_grip_drop (self, document);
  if (place.edge == RHYTON_ZONE_EDGE_NONE || place.zone >= data->n_zones || rhyton_document_get_plan (document) == NULL)
    return;
  rhyton_document_hold_step (document);
  *self = (RhytonZoneGrip) { .place = place, .was = data->zones[place.zone], .from = at };
  self->was.name = NULL;
}

void
rhyton_zone_grip_drop (RhytonZoneGrip *self,
                       RhytonDocument *document)
{
  if (self->place.edge == RHYTON_ZONE_EDGE_NONE)
    return;
  rhyton_document_end_step (document);
  *self = (RhytonZoneGrip) { .place.edge = RHYTON_ZONE_EDGE_NONE };
}

static double
rounded (double   value,
         gboolean free)
{
  const double steps = free ? 1e3 : 1.0;
  return round (value * steps) / steps;
}

/* The heights after the pointer went up by @up_mm, within the wall and in order. */
static void
move_heights (RhyZone        *zone,
              RhytonZoneEdge  edge,
              double          up_mm,
              double          low_mm,
              double          high_mm,
              gboolean        free)
{
  if (edge == RHYTON_ZONE_EDGE_LOW)
    zone->from_mm = CLAMP (rounded (zone->from_mm + up_mm, free), low_mm, zone->to_mm - SIZE_LEAST_MM);
  else if (edge == RHYTON_ZONE_EDGE_HIGH)
    zone->to_mm = CLAMP (rounded (zone->to_mm + up_mm, free), zone->from_mm + SIZE_LEAST_MM, high_mm);
  else if (edge == RHYTON_ZONE_EDGE_BODY && zone->to_mm - zone->from_mm < high_mm - low_mm)
    {
      const double size = zone->to_mm - zone->from_mm;
      zone->from_mm = CLAMP (rounded (zone->from_mm + up_mm, free), low_mm, high_mm - size);
      zone->to_mm = zone->from_mm + size;
    }
}

static void
move_angles (RhyZone        *zone,
             RhytonZoneEdge  edge,
             double          right_rad,
             gboolean        free)
{
  const double half = 0.5 * zone->width_rad;
  double left = (zone->centre_rad - half) * 180.0 / G_PI, right = (zone->centre_rad + half) * 180.0 / G_PI;
  const double by = right_rad * 180.0 / G_PI;

  if (edge == RHYTON_ZONE_EDGE_BODY)
    {
      zone->centre_rad = rounded (zone->centre_rad * 180.0 / G_PI + by, free) * G_PI / 180.0;
      return;
    }
  if (edge == RHYTON_ZONE_EDGE_LEFT)
    left = CLAMP (rounded (left + by, free), right - 359.0, right - WIDTH_LEAST_DEG);
  else if (edge == RHYTON_ZONE_EDGE_RIGHT)
    right = CLAMP (rounded (right + by, free), left + WIDTH_LEAST_DEG, left + 359.0);
  zone->centre_rad = 0.5 * (left + right) * G_PI / 180.0;
  zone->width_rad = (right - left) * G_PI / 180.0;
}

/* What did not change is not written: a zone that goes all round says so by no key. */
static void
write_zone (RhytonDocument *document,
            const RhyZone  *zone,
            const RhyZone  *before)
{
  char texts[4][G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *group = g_strconcat ("Zone ", before->name, NULL);
  const struct { const char *key; double value, before; } keys[] = {
    { "Centre", remainder (zone->centre_rad, 2.0 * G_PI) * 180.0 / G_PI, before->centre_rad * 180.0 / G_PI },
    { "Width", zone->width_rad * 180.0 / G_PI, before->width_rad * 180.0 / G_PI },
    { "From", zone->from_mm, before->from_mm },
    { "To", zone->to_mm, before->to_mm },
  };
  RhytonEdit edits[G_N_ELEMENTS (keys)];
  gsize n = 0;

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if (fabs (keys[i].value - keys[i].before) > 1e-9)
      edits[n++] = (RhytonEdit) { group, keys[i].key, rhy_number_to_text (texts[i], rounded (keys[i].value, TRUE)) };
  /* Within the wall and in order, so this is not refused. */
  if (n > 0)
    rhyton_document_change (document, "Place of a zone", "drag", edits, n, NULL);
}

void
rhyton_zone_grip_move (RhytonZoneGrip *self,
                       RhytonDocument *document,
                       RhyWallPoint    to,
                       gboolean        free)
{
  RhyPlan *plan = rhyton_document_get_plan (document);
  const RhyJobData *data = data_of (document);

  if (self->place.edge == RHYTON_ZONE_EDGE_NONE || plan == NULL || self->place.zone >= data->n_zones)
    return;
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyZone zone = self->was;
  const double low_mm = rhy_wall_at (wall, 0.0).z_mm;
  const double high_mm = rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm;
  const double up_mm = rhy_wall_at (wall, to.s).z_mm - rhy_wall_at (wall, self->from.s).z_mm;
  zone.from_mm = MAX (zone.from_mm, low_mm);
  zone.to_mm = MIN (zone.to_mm, high_mm);
  if (!(zone.to_mm - zone.from_mm > SIZE_LEAST_MM))
    return;
  move_heights (&zone, self->place.edge, up_mm, low_mm, high_mm, free);
  if (!is_all_round (&zone))
    move_angles (&zone, self->place.edge, remainder (to.angle - self->from.angle, 2.0 * G_PI), free);
  write_zone (document, &zone, &data->zones[self->place.zone]);
}

char *
rhyton_zone_grip_describe (RhytonZonePlace  place,
                           RhytonDocument  *document)
{
  const RhyJobData *data = data_of (document);

  if (place.edge == RHYTON_ZONE_EDGE_NONE || place.zone >= data->n_zones)
    return NULL;
  const RhyZone *zone = &data->zones[place.zone];
  RhyPlan *plan = rhyton_document_get_plan (document);
  const double high_mm = plan != NULL ? rhy_wall_at (rhy_plan_get_wall (plan), rhy_wall_get_length (rhy_plan_get_wall (plan))).z_mm
                                      : zone->to_mm;
  g_autofree char *from = rhyton_panel_format_mm (document, MAX (zone->from_mm, 0.0));
  g_autofree char *to = rhyton_panel_format_mm (document, MIN (zone->to_mm, high_mm));
  if (is_all_round (zone))
    return g_strdup_printf ("%s: %s to %s up, all round", zone->name, from, to);
  return g_strdup_printf ("%s: %s to %s up, %.1f\u00b0 wide about %.1f\u00b0", zone->name, from, to,
                          zone->width_rad * 180.0 / G_PI, zone->centre_rad * 180.0 / G_PI);
}
