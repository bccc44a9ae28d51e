/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "gui.h"

gboolean
gui_is_up (void)
{
  static int up = -1;
  if (up < 0)
    up = gtk_init_check ();
  return up;
}

void
gui_settle (void)
{
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

static gboolean
ring (gpointer data)
{
  *(gboolean *) data = TRUE;
  return G_SOURCE_REMOVE;
}

gboolean
gui_until (gboolean (*ok) (gpointer),
           gpointer data,
           double   seconds)
{
  gboolean late = FALSE;
  const guint id = g_timeout_add ((guint) (seconds * 1000.0), ring, &late);

  while (!ok (data) && !late)
    g_main_context_iteration (NULL, TRUE);
  if (!late)
    g_source_remove (id);
  return ok (data);
}

static void
count (GdkFrameClock *clock,
       gpointer       n)
{
  (*(guint *) n)++;
}

static gboolean
is_painted (gpointer n)
{
  return *(guint *) n > 0;
}

gboolean
gui_frame (GtkWidget *widget)
{
  GdkFrameClock *clock = gtk_widget_get_frame_clock (widget);
  guint n = 0;

  if (clock == NULL)
    return FALSE;
  const gulong id = g_signal_connect (clock, "after-paint", G_CALLBACK (count), &n);
  gtk_widget_queue_draw (widget);
  const gboolean painted = gui_until (is_painted, &n, 5.0);
  g_signal_handler_disconnect (clock, id);
  return painted;
}

cairo_surface_t *
gui_picture (GtkWidget *widget)
{
  const int width = gtk_widget_get_width (widget);
  const int height = gtk_widget_get_height (widget);
  g_autoptr (GdkPaintable) paintable = gtk_widget_paintable_new (widget);
  g_autoptr (GtkSnapshot) snapshot = gtk_snapshot_new ();

  gdk_paintable_snapshot (paintable, snapshot, width, height);
  GskRenderNode *node = gtk_snapshot_to_node (snapshot);
  const int scale = gtk_widget_get_scale_factor (widget);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width * scale, height * scale);
  cairo_surface_set_device_scale (surface, scale, scale);
  if (node == NULL)
    return surface;
  cairo_t *cr = cairo_create (surface);
  gsk_render_node_draw (node, cr);
  cairo_destroy (cr);
  gsk_render_node_unref (node);
  cairo_surface_flush (surface);
  return surface;
}

void
gui_keep (cairo_surface_t *picture,
          const char      *name)
{
  const char *folder = g_getenv ("RHYTON_PICTURES");
  if (folder == NULL)
    return;
  g_autofree char *file = g_strconcat (name, ".png", NULL);
  g_autofree char *path = g_build_filename (folder, file, NULL);
  g_assert_cmpint (g_mkdir_with_parents (folder, 0755), ==, 0);
  g_assert_cmpint (cairo_surface_write_to_png (picture, path), ==, CAIRO_STATUS_SUCCESS);
}

gpointer
gui_controller (GtkWidget *widget,
                GType      type,
                guint      nth)
{
  g_autoptr (GListModel) controllers = gtk_widget_observe_controllers (widget);

  for (guint i = 0; i < g_list_model_get_n_items (controllers); i++)
    {
      g_autoptr (GObject) controller = g_list_model_get_item (controllers, i);
      if (g_type_is_a (G_OBJECT_TYPE (controller), type) && nth-- == 0)
        return controller;      /* the widget keeps it */
    }
  return NULL;
}

void
gui_each (GtkWidget *widget,
          void (*each) (GtkWidget *widget, gpointer data),
          gpointer   data)
{
  each (widget, data);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    gui_each (child, each, data);
}

typedef struct
{
  GType       type;
  const char *label;
  GtkWidget  *found;
} Search;

static void
compare (GtkWidget *widget,
         gpointer   data)
{
  Search *search = data;

  if (search->found != NULL || !g_type_is_a (G_OBJECT_TYPE (widget), search->type))
    return;
  g_autofree char *bad = gtk_test_accessible_check_property (GTK_ACCESSIBLE (widget),
                                                             GTK_ACCESSIBLE_PROPERTY_LABEL, search->label);
  if (bad == NULL)
    search->found = widget;
}

GtkWidget *
gui_labelled (GtkWidget  *root,
              GType       type,
              const char *label)
{
  Search search = { .type = type, .label = label };
  gui_each (root, compare, &search);
  return search.found;
}
