/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/snap.h>

#include "plan-private.h"

#include <math.h>

#define TURN (2.0 * G_PI)
#define ALL_ROUND_RAD (TURN - 1e-9)

/* Steps to the height at which both ends are as far. On a cylinder the first is exact; on a cone the ink
 * sags by about the square of its width over its distance from the apex, which a step changes little: of
 * a wide band on a steep cone four steps leave some 1e-5 mm. */
#define ROUNDS 4

/* What artwork keeps a distance to: a box of wall. */
typedef struct
{
  const char *name;
  gboolean    all_round;
  double      s_low, s_high;
  double      middle_rad, half_rad;
  double      opposite_rad;     /* NAN: nobody would look for that place */
} Thing;

typedef struct
{
  const RhyPlan *part;
  RhyWall       *wall;
  RhyWallPoint   at;            /* on the wall */
  RhyReach       reach;         /* of the ink there */
  GArray        *things;        /* Thing */
  GArray        *snaps;         /* RhySnap */
} Search;

gboolean
rhy_snap_is_height (RhySnapKind kind)
{
  return kind == RHY_SNAP_MIDDLE || kind == RHY_SNAP_LEVEL || kind == RHY_SNAP_ENDS;
}

/* ---- what stands on the wall ---- */

static double
slant_at (RhyWall *wall,
          double   z_mm)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z_mm, &ring))
    return ring.s_mm;
  return z_mm < rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall);
}

static void
add_zone (Search        *search,
          const RhyZone *zone)
{
  const Thing thing = { .name = zone->name,
                        .all_round = zone->width_rad >= ALL_ROUND_RAD,
                        .s_low = slant_at (search->wall, zone->from_mm),
                        .s_high = slant_at (search->wall, zone->to_mm),
                        .middle_rad = zone->centre_rad,
                        .half_rad = 0.5 * zone->width_rad,
                        .opposite_rad = zone->kind == RHY_ZONE_HANDLE ? zone->centre_rad + G_PI : NAN };
  if (thing.s_low < thing.s_high)
    g_array_append_val (search->things, thing);
}

static const char *
name_of (const RhyJobArtwork *artwork)
{
  if (artwork->name != NULL)
    return artwork->name;
  if (artwork->text != NULL)
    return artwork->text;
  return artwork->file != NULL ? artwork->file : "the other artwork";
}

static void
add_artwork (Search        *search,
             const RhyPlan *part)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (part);
  const Thing thing = { .name = name_of (rhy_plan_get_group (part)),
                        .all_round = n->copies > 1 || n->angle_high_rad - n->angle_low_rad >= ALL_ROUND_RAD,
                        .s_low = n->s_low_mm,
                        .s_high = n->s_high_mm,
                        .middle_rad = 0.5 * (n->angle_low_rad + n->angle_high_rad),
                        .half_rad = 0.5 * (n->angle_high_rad - n->angle_low_rad),
                        .opposite_rad = n->anchor.angle + G_PI };
  if (thing.s_low < thing.s_high)
    g_array_append_val (search->things, thing);
}

/* ---- by a line: front, opposite, middle, level ---- */

static RhySnap *
add_snap (Search      *search,
          RhySnapKind  kind,
          double       value,
          const char  *name)
{
  const gboolean is_height = rhy_snap_is_height (kind);
  const double length = rhy_wall_get_length (search->wall);
  RhySnap snap = { .kind = kind, .at = search->at, .names = { name, NULL }, .n_lines = 1 };

  if (is_height)
    {
      snap.at.s = CLAMP (value, 0.0, length);
      snap.lines[0][0] = (RhyWallPoint) { snap.at.s, snap.at.angle - G_PI };
      snap.lines[0][1] = (RhyWallPoint) { snap.at.s, snap.at.angle + G_PI };
    }
  else
    {
      /* Next to where it is, as a pointer goes. */
      snap.at.angle += remainder (value - snap.at.angle, TURN);
      snap.lines[0][0] = (RhyWallPoint) { 0.0, snap.at.angle };
      snap.lines[0][1] = (RhyWallPoint) { length, snap.at.angle };
    }
  g_array_append_val (search->snaps, snap);
  return &g_array_index (search->snaps, RhySnap, search->snaps->len - 1);
}

static void
add_middle (Search *search)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (search->part));
  const double length = rhy_wall_get_length (search->wall);
  double low = rhy_wall_at (search->wall, 0.0).z_mm;
  double high = rhy_wall_at (search->wall, length).z_mm;
  const double here = rhy_wall_at (search->wall, search->at.s).z_mm;

  for (gsize i = 0; i < data->n_zones; i++)
    {
      const RhyZone *zone = &data->zones[i];
      if (zone->width_rad < ALL_ROUND_RAD)
        continue;
      if (0.5 * (zone->from_mm + zone->to_mm) < here)
        low = MAX (low, zone->to_mm + zone->margin_mm);
      else
        high = MIN (high, zone->from_mm - zone->margin_mm);
    }
  if (low < high)
    add_snap (search, RHY_SNAP_MIDDLE, slant_at (search->wall, 0.5 * (low + high)), NULL);
}

/* ---- by two distances ---- */

static gboolean
has_reach (const Search *search)
{
  return search->reach.s_low <= search->reach.s_high;
}

/* How far around it is from @from on to @to, 0 to a turn. */
static double
onward (double from,
        double to)
{
  const double by = fmod (to - from, TURN);
  return by < 0.0 ? by + TURN : by;
}

/* What is nearest to either side, by the room from the ink's middle to its edge. */
static const Thing *
side (const Search *search,
      double        middle_rad,
      int           sense,
      double       *room_rad)
{
  const Thing *nearest = NULL;
  *room_rad = G_MAXDOUBLE;
  for (guint i = 0; i < search->things->len; i++)
    {
      const Thing *thing = &g_array_index (search->things, Thing, i);
      if (thing->all_round || thing->s_high <= search->reach.s_low || thing->s_low >= search->reach.s_high)
        continue;
      const double room = (sense > 0 ? onward (middle_rad, thing->middle_rad) : onward (thing->middle_rad, middle_rad))
                          - thing->half_rad;
      if (room < *room_rad)
        {
          *room_rad = room;
          nearest = thing;
        }
    }
  return nearest;
}

static void
add_sides (Search *search)
{
  const RhyReach reach = search->reach;
  const double middle = 0.5 * (reach.a_low + reach.a_high), half = 0.5 * (reach.a_high - reach.a_low);
  double left_rad, right_rad;

  if (!has_reach (search) || rhy_plan_get_numbers (search->part)->copies > 1)
    return;
  const Thing *left = side (search, middle, -1, &left_rad);
  const Thing *right = side (search, middle, 1, &right_rad);
  const double gap_rad = 0.5 * (left_rad + right_rad) - half;
  /* Alone with one thing, this is opposite to it. */
  if (left == NULL || right == NULL || !(gap_rad > 0.0) || (left == right && isfinite (left->opposite_rad)))
    return;

  const double by = 0.5 * (right_rad - left_rad);
  RhySnap *snap = add_snap (search, RHY_SNAP_SIDES, search->at.angle + by, left->name);
  const double s = search->at.s, low = reach.a_low + by, high = reach.a_high + by;
  snap->names[1] = right->name;
  snap->gap_mm = gap_rad * rhy_wall_at (search->wall, s).r_mm;
  snap->n_lines = 2;
  snap->lines[0][0] = (RhyWallPoint) { s, low - gap_rad };
  snap->lines[0][1] = (RhyWallPoint) { s, low };
  snap->lines[1][0] = (RhyWallPoint) { s, high };
  snap->lines[1][1] = (RhyWallPoint) { s, high + gap_rad };
}

static gboolean
is_in_line (const Thing *thing,
            RhyReach     reach)
{
  const double middle = 0.5 * (reach.a_low + reach.a_high), half = 0.5 * (reach.a_high - reach.a_low);
  return thing->all_round || fabs (remainder (thing->middle_rad - middle, TURN)) < half + thing->half_rad;
}

/* The edges that are nearest below and above; @is_new: whether either is not the free height's own,
 * of which the middle is there already. */
static void
find_ends (const Search *search,
           Thing        *below,
           Thing        *above,
           gboolean     *is_new)
{
  const double middle = 0.5 * (search->reach.s_low + search->reach.s_high);
  *below = (Thing) { .name = "base", .all_round = TRUE };
  *above = (Thing) { .name = "rim", .all_round = TRUE, .s_low = rhy_wall_get_length (search->wall) };

  for (guint i = 0; i < search->things->len; i++)
    {
      const Thing *thing = &g_array_index (search->things, Thing, i);
      if (!is_in_line (thing, search->reach))
        continue;
      if (0.5 * (thing->s_low + thing->s_high) < middle && thing->s_high > below->s_high)
        *below = *thing;
      else if (0.5 * (thing->s_low + thing->s_high) >= middle && thing->s_low < above->s_low)
        *above = *thing;
    }
  *is_new = !below->all_round || !above->all_round;
}

static void
add_ends (Search *search)
{
  Thing below, above;
  gboolean is_new;
  RhyWallPoint at = search->at;
  RhyReach reach = search->reach;

  if (!has_reach (search))
    return;
  find_ends (search, &below, &above, &is_new);
  if (!is_new)
    return;
  for (int i = 0; i < ROUNDS; i++)
    {
      at.s += 0.5 * (below.s_high + above.s_low) - 0.5 * (reach.s_low + reach.s_high);
      if (!rhy_wall_has (search->wall, at.s))
        return;
      reach = rhy_plan_reach_at (search->part, at);
      if (!(reach.s_low <= reach.s_high))
        return;
    }
  const double gap_mm = 0.5 * (above.s_low - below.s_high - (reach.s_high - reach.s_low));
  if (!(gap_mm > 0.0))
    return;

  RhySnap *snap = add_snap (search, RHY_SNAP_ENDS, at.s, below.name);
  const double angle = 0.5 * (reach.a_low + reach.a_high);
  snap->names[1] = above.name;
  snap->gap_mm = gap_mm;
  snap->n_lines = 2;
  snap->lines[0][0] = (RhyWallPoint) { below.s_high, angle };
  snap->lines[0][1] = (RhyWallPoint) { reach.s_low, angle };
  snap->lines[1][0] = (RhyWallPoint) { reach.s_high, angle };
  snap->lines[1][1] = (RhyWallPoint) { above.s_low, angle };
}

/* ---- all of them ---- */

static void
add_heights (Search        *search,
             const RhyPlan *plan)
{
  add_middle (search);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    {
      const RhyPlan *other = rhy_plan_get_part (plan, i);
      if (other != search->part && rhy_plan_get_numbers (other)->width_mm > 0.0)
        add_snap (search, RHY_SNAP_LEVEL, rhy_plan_get_numbers (other)->anchor.s, name_of (rhy_plan_get_group (other)));
    }
  add_ends (search);
}

static void
add_angles (Search *search)
{
  add_snap (search, RHY_SNAP_FRONT, 0.0, NULL);
  for (guint i = 0; i < search->things->len; i++)
    {
      const Thing *thing = &g_array_index (search->things, Thing, i);
      if (isfinite (thing->opposite_rad) && !thing->all_round)
        add_snap (search, RHY_SNAP_OPPOSITE, thing->opposite_rad, thing->name);
    }
  add_sides (search);
}

static void
begin (Search        *search,
       const RhyPlan *plan,
       gsize          part,
       RhyWallPoint   at)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  RhyWall *wall = rhy_plan_get_wall (plan);

  at.s = CLAMP (at.s, 0.0, rhy_wall_get_length (wall));
  *search = (Search) { .part = rhy_plan_get_part (plan, part), .wall = wall, .at = at };
  search->reach = rhy_plan_reach_at (search->part, at);
  search->things = g_array_new (FALSE, FALSE, sizeof (Thing));
  search->snaps = g_array_new (FALSE, FALSE, sizeof (RhySnap));
  for (gsize i = 0; i < data->n_zones; i++)
    add_zone (search, &data->zones[i]);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    if (i != part)
      add_artwork (search, rhy_plan_get_part (plan, i));
}

static RhySnap *
end (Search *search,
     gsize  *n)
{
  g_array_unref (search->things);
  *n = search->snaps->len;
  return (RhySnap *) (void *) g_array_free (search->snaps, FALSE);
}

RhySnap *
rhy_snap_list (const RhyPlan *self,
               gsize          part,
               RhyWallPoint   at,
               gsize         *n)
{
  g_return_val_if_fail (self != NULL && part < rhy_plan_get_n_parts (self) && n != NULL, NULL);
  g_return_val_if_fail (isfinite (at.s) && isfinite (at.angle), NULL);

  Search search;
  begin (&search, self, part, at);
  add_heights (&search, self);
  add_angles (&search);
  return end (&search, n);
}

/* ---- the nearest ---- */

/* A height's lines are beside the artwork wherever that goes. */
static void
shift (RhySnap *height,
       double   by_rad)
{
  height->at.angle += by_rad;
  for (gsize i = 0; i < height->n_lines; i++)
    for (int k = 0; k < 2; k++)
      height->lines[i][k].angle += by_rad;
}

static gboolean
nearest (RhyWall       *wall,
         const RhySnap *snaps,
         gsize          n,
         RhyWallPoint   at,
         double         reach_mm,
         RhySnap       *found)
{
  const double r_mm = rhy_wall_at (wall, at.s).r_mm;
  double least = reach_mm;
  gboolean any = FALSE;

  for (gsize i = 0; i < n; i++)
    {
      const double far_mm = hypot (snaps[i].at.s - at.s, (snaps[i].at.angle - at.angle) * r_mm);
      if (!(far_mm < least))
        continue;
      least = far_mm;
      *found = snaps[i];
      any = TRUE;
    }
  return any;
}

gsize
rhy_snap_to (const RhyPlan *self,
             gsize          part,
             RhyWallPoint  *at,
             double         reach_mm,
             RhySnap        found[2])
{
  g_return_val_if_fail (self != NULL && part < rhy_plan_get_n_parts (self) && at != NULL && found != NULL, 0);
  g_return_val_if_fail (isfinite (at->s) && isfinite (at->angle), 0);

  RhyWall *wall = rhy_plan_get_wall (self);
  Search search;
  gsize n_snaps, n = 0;

  begin (&search, self, part, *at);
  add_heights (&search, self);
  g_autofree RhySnap *heights = end (&search, &n_snaps);
  if (nearest (wall, heights, n_snaps, *at, reach_mm, &found[n]))
    at->s = found[n++].at.s;

  /* Its neighbours and its width are those at the new height. */
  begin (&search, self, part, *at);
  add_angles (&search);
  g_autofree RhySnap *angles = end (&search, &n_snaps);
  if (nearest (wall, angles, n_snaps, *at, reach_mm, &found[n]))
    {
      if (n > 0)
        shift (&found[0], found[n].at.angle - at->angle);
      at->angle = found[n++].at.angle;
    }
  return n;
}

char *
rhy_snap_dup_words (const RhySnap *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  switch (self->kind)
    {
    case RHY_SNAP_FRONT:
      return g_strdup ("front");
    case RHY_SNAP_OPPOSITE:
      return g_strdup_printf ("opposite %s", self->names[0]);
    case RHY_SNAP_MIDDLE:
      return g_strdup ("middle of the free height");
    case RHY_SNAP_LEVEL:
      return g_strdup_printf ("level with %s", self->names[0]);
    case RHY_SNAP_SIDES:
    case RHY_SNAP_ENDS:
    default:
      return g_strcmp0 (self->names[0], self->names[1]) == 0
               ? g_strdup_printf ("the same distance to both sides of %s", self->names[0])
               : g_strdup_printf ("as far from %s as from %s", self->names[0], self->names[1]);
    }
}
