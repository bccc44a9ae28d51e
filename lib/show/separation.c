/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "separation.h"

#include <math.h>
#include <string.h>

/* How many groups back a shape is taken: beyond it a drawing of a thousand colours
 * would take the square of that. */
#define GROUPS_BACK 64

typedef struct
{
  const RhyShape *like;
  RhyBounds       box;
  GArray         *shapes;       /* gsize */
} Group;

static gboolean
same_colour (RhyColour a,
             RhyColour b)
{
  return a.r == b.r && a.g == b.g && a.b == b.b && a.a == b.a;
}

static gboolean
same_paint (const RhyShape *a,
            const RhyShape *b)
{
  return a->has_fill == b->has_fill && a->has_stroke == b->has_stroke
         && a->fill_paint == b->fill_paint && a->stroke_paint == b->stroke_paint
         && (!a->has_fill || same_colour (a->fill, b->fill)) && (!a->has_stroke || same_colour (a->stroke, b->stroke));
}

static gboolean
meets (RhyBounds a,
       RhyBounds b)
{
  return a.min_x <= b.max_x && b.min_x <= a.max_x && a.min_y <= b.max_y && b.min_y <= a.max_y;
}

/* Bounded from above: a miter reaches no further than its limit. */
static RhyBounds
box_of (const RhyShape *shape)
{
  RhyBounds box = rhy_path_get_bounds (shape->path);
  if (!shape->has_stroke || rhy_bounds_is_empty (box))
    return box;
  const RhyAffine m = shape->pen.matrix;
  const double reach = 0.5 * shape->pen.width * MAX (shape->pen.miter_limit, 1.5)
                       * MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy)) * G_SQRT2;
  return (RhyBounds) { box.min_x - reach, box.min_y - reach, box.max_x + reach, box.max_y + reach };
}

static void
clear_group (gpointer data)
{
  g_array_unref (((Group *) data)->shapes);
}

/* The group that @shape can join, or the number there are. */
static guint
group_for (GArray         *groups,
           const RhyShape *shape,
           RhyBounds       box)
{
  for (guint back = 1; back <= MIN (groups->len, GROUPS_BACK); back++)
    {
      const Group *group = &g_array_index (groups, Group, groups->len - back);
      if (same_paint (group->like, shape))
        return groups->len - back;
      if (meets (group->box, box))
        break;
    }
  return groups->len;
}

GPtrArray *
rhy_artwork_by_paint (RhyArtwork *self)
{
  g_autoptr (GArray) groups = g_array_new (FALSE, TRUE, sizeof (Group));
  g_array_set_clear_func (groups, clear_group);
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self, i);
      const RhyBounds box = box_of (shape);
      const guint k = group_for (groups, shape, box);
      if (k == groups->len)
        {
          const Group fresh = { shape, RHY_BOUNDS_EMPTY, g_array_new (FALSE, FALSE, sizeof (gsize)) };
          g_array_append_val (groups, fresh);
        }
      Group *group = &g_array_index (groups, Group, k);
      group->box = rhy_bounds_union (group->box, box);
      g_array_append_val (group->shapes, i);
    }

  GPtrArray *artworks = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_artwork_unref);
  for (guint k = 0; k < groups->len; k++)
    {
      const Group *group = &g_array_index (groups, Group, k);
      g_ptr_array_add (artworks, rhy_artwork_subset (self, (const gsize *) (void *) group->shapes->data, group->shapes->len));
    }
  return artworks;
}

static void
put_colour (GString   *name,
            RhyColour  c)
{
  const double parts[3] = { c.r, c.g, c.b };
  for (int i = 0; i < 3; i++)
    g_string_append_printf (name, "%02x", (guint) lrint (255.0 * CLAMP (parts[i], 0.0, 1.0)));
}

char *
rhy_artwork_paint_name (const RhyArtwork *self)
{
  GString *name = g_string_new (NULL);
  const RhyShape *shape = rhy_artwork_get_n_shapes (self) > 0 ? rhy_artwork_get_shape (self, 0) : NULL;
  if (shape != NULL && (shape->fill_paint != NULL || shape->stroke_paint != NULL))
    return g_string_free (g_string_append (name, "picture"), FALSE);
  if (shape != NULL && shape->has_fill)
    put_colour (name, shape->fill);
  if (shape != NULL && shape->has_stroke)
    {
      g_string_append (name, name->len > 0 ? "-line-" : "line-");
      put_colour (name, shape->stroke);
    }
  return g_string_free (name, FALSE);
}
