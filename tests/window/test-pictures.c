/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <string.h>

#include "rhyton-comparison.h"
#include "rhyton-stand-view.h"
#include "rhyton-thumbnail.h"

/* A picture of every step and view in every look, and of every panel from top to bottom, to be looked at: into the
 * folder that RHYTON_PICTURES names. What can be told without eyes is asked here: nothing in a
 * panel reaches over its edge, and no picture is bare. */

static const struct { const char *name; const char *theme; gboolean dark; } looks[] = {
  { "light", "Default", FALSE }, { "dark", "Default", TRUE }, { "contrast", "Default-hc", FALSE },
  { "contrast-dark", "Default-hc-dark", FALSE },
};
static const struct { int width, height; } sizes[] = { { 1280, 800 }, { 1920, 1200 } };
static const char *const steps[] = { "vessel", "artwork", "placement", "hold", "check", "make" };
static const char *const views[] = { "vessel", "pattern", "bed" };

static gboolean
has_size (gpointer data)
{
  Fixture *f = data;
  int width, height;
  gtk_window_get_default_size (GTK_WINDOW (f->window), &width, &height);
  return ABS (gtk_widget_get_width (GTK_WIDGET (f->window)) - width) < 80;
}

static void
look_for_work (GtkWidget *widget,
               gpointer   busy)
{
  if (!gtk_widget_get_mapped (widget))
    return;
  if ((RHYTON_IS_COMPARISON (widget) && rhyton_comparison_is_busy (RHYTON_COMPARISON (widget)))
      || (RHYTON_IS_STAND_VIEW (widget) && rhyton_stand_view_is_busy (RHYTON_STAND_VIEW (widget)))
      || (RHYTON_IS_THUMBNAIL (widget) && rhyton_thumbnail_is_busy (RHYTON_THUMBNAIL (widget))))
    *(gboolean *) busy = TRUE;
}

static gboolean
is_worked_out (gpointer window)
{
  gboolean busy = FALSE;
  gui_each (window, look_for_work, &busy);
  return !busy;
}

static void
calm (Fixture *f)
{
  for (int i = 0; i < 3; i++)
    {
      settle (f);
      gui_frame (GTK_WIDGET (f->window));
    }
  assert_true (gui_until (is_worked_out, f->window, 30.0));
  gui_frame (GTK_WIDGET (f->window));
}

typedef struct
{
  GtkWidget *frame;
  char      *where;
  guint      n_cut;
} Cut;

/* Sideways only: downwards there is a scroll bar. */
static void
measure (GtkWidget *widget,
         gpointer   data)
{
  Cut *cut = data;
  graphene_rect_t at;

  if (!gtk_widget_get_mapped (widget) || !gtk_widget_get_child_visible (widget)
      || gtk_widget_get_native (widget) != gtk_widget_get_native (cut->frame)
      || !gtk_widget_compute_bounds (widget, cut->frame, &at) || at.size.width <= 0.0f)
    return;
  if (at.origin.x >= -1.0f && at.origin.x + at.size.width <= (float) gtk_widget_get_width (cut->frame) + 1.0f)
    return;
  if (cut->n_cut++ == 0)
    print_error ("%s: %s '%s' goes from %.0f to %.0f of %d px\n", cut->where, G_OBJECT_TYPE_NAME (widget),
                 GTK_IS_LABEL (widget) ? gtk_label_get_label (GTK_LABEL (widget)) : "", (double) at.origin.x,
                 (double) (at.origin.x + at.size.width), gtk_widget_get_width (cut->frame));
}

static void
find_panels (GtkWidget *widget,
             gpointer   data)
{
  if (GTK_IS_STACK (widget) && g_strcmp0 (gtk_buildable_get_buildable_id (GTK_BUILDABLE (widget)), "panels") == 0)
    *(GtkWidget **) data = widget;
}

static void
is_not_bare (cairo_surface_t *picture)
{
  g_autoptr (GHashTable) colours = g_hash_table_new (NULL, NULL);
  const int stride = cairo_image_surface_get_stride (picture);
  for (int y = 0; y < cairo_image_surface_get_height (picture); y += 5)
    for (int x = 0; x < cairo_image_surface_get_width (picture); x += 5)
      {
        guint32 pixel;
        memcpy (&pixel, cairo_image_surface_get_data (picture) + y * stride + 4 * x, sizeof pixel);
        g_hash_table_add (colours, GUINT_TO_POINTER (pixel));
      }
  assert_true (g_hash_table_size (colours) > 60);
}

static GtkWidget *
panels_of (Fixture *f)
{
  GtkWidget *panels = NULL;
  gui_each (GTK_WIDGET (f->window), find_panels, &panels);
  assert_non_null (panels);
  return panels;
}

/* All of it, also what is scrolled away. */
static void
take_panel (Fixture    *f,
            const char *name)
{
  GtkWidget *panel = gtk_stack_get_visible_child (GTK_STACK (panels_of (f)));
  cairo_surface_t *picture = gui_picture (panel);
  cairo_t *cr = cairo_create (picture);
  GdkRGBA ground;
  assert_true (gtk_style_context_lookup_color (gtk_widget_get_style_context (panel), "theme_base_color", &ground));
  cairo_set_operator (cr, CAIRO_OPERATOR_DEST_OVER);
  gdk_cairo_set_source_rgba (cr, &ground);
  cairo_paint (cr);
  cairo_destroy (cr);
  gui_keep (picture, name);
  cairo_surface_destroy (picture);
}

static guint
take (Fixture    *f,
      const char *name)
{
  calm (f);
  cairo_surface_t *picture = gui_picture (GTK_WIDGET (f->window));
  is_not_bare (picture);
  gui_keep (picture, name);
  cairo_surface_destroy (picture);

  GtkWidget *panels = panels_of (f);
  Cut cut = { gtk_widget_get_parent (gtk_widget_get_parent (panels)), (char *) name, 0 };
  gui_each (gtk_stack_get_visible_child (GTK_STACK (panels)), measure, &cut);
  return cut.n_cut;
}

static void
show (Fixture    *f,
      const char *action,
      const char *name)
{
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), action, g_variant_new_string (name));
}

static void
look_like (gsize look)
{
  g_object_set (gtk_settings_get_default (), "gtk-theme-name", looks[look].theme, "gtk-application-prefer-dark-theme",
                looks[look].dark, NULL);
}

static void
unfold (GtkWidget *widget,
        gpointer   data)
{
  GtkWidget *parent = gtk_widget_get_parent (widget);
  if (GTK_IS_TOGGLE_BUTTON (widget) && !GTK_IS_MENU_BUTTON (parent) && !GTK_IS_DROP_DOWN (parent)
      && GTK_IS_BOX (gtk_button_get_child (GTK_BUTTON (widget))))
    gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (widget), TRUE);
}

static void
test_every_step_and_view (void **state)
{
  Fixture *f = *state;
  guint n_cut = 0;

  open_demo (f);
  gui_each (panels_of (f), unfold, NULL);
  for (gsize size = 0; size < G_N_ELEMENTS (sizes); size++)
    {
      gtk_window_set_default_size (GTK_WINDOW (f->window), sizes[size].width, sizes[size].height);
      gui_until (has_size, f, 5.0);
      for (gsize look = 0; look < G_N_ELEMENTS (looks); look++)
        {
          look_like (look);
          for (gsize i = 0; i < G_N_ELEMENTS (steps); i++)
            {
              g_autofree char *name = g_strdup_printf ("%d-%s-step-%" G_GSIZE_FORMAT "-%s", sizes[size].width,
                                                       looks[look].name, i + 1, steps[i]);
              go_to (f, steps[i]);
              n_cut += take (f, name);
              g_autofree char *whole = g_strdup_printf ("panel-%s-%" G_GSIZE_FORMAT "-%s", looks[look].name, i + 1, steps[i]);
              if (size == 0)
                take_panel (f, whole);
            }
          for (gsize i = 1; i < G_N_ELEMENTS (views); i++)
            {
              g_autofree char *name = g_strdup_printf ("%d-%s-view-%s", sizes[size].width, looks[look].name, views[i]);
              show (f, "view", views[i]);
              n_cut += take (f, name);
            }
          show (f, "view", views[0]);
        }
    }
  look_like (0);
  assert_int_equal (n_cut, 0);
}

/* What a maker meets first. */
static void
test_first_start (void **state)
{
  Fixture *f = *state;

  gtk_window_set_default_size (GTK_WINDOW (f->window), sizes[0].width, sizes[0].height);
  gui_until (has_size, f, 5.0);
  for (gsize look = 0; look < G_N_ELEMENTS (looks); look++)
    {
      g_autofree char *name = g_strdup_printf ("%d-%s-start", sizes[0].width, looks[look].name);
      look_like (look);
      calm (f);
      cairo_surface_t *picture = gui_picture (GTK_WIDGET (f->window));
      is_not_bare (picture);
      gui_keep (picture, name);
      cairo_surface_destroy (picture);
    }
  look_like (0);
}

/* What the tumbler does not have: a picture, lettering, several artworks, a handle, a curved wall; and inches. */
static void
test_other_jobs (void **state)
{
  Fixture *f = *state;
  static const struct { const char *job; gboolean inches; } others[] = {
    { "morning.rhyton", FALSE }, { "mug.rhyton", TRUE }, { "both-sides.rhyton", FALSE }, { "can.rhyton", FALSE },
  };
  guint n_cut = 0;

  gtk_window_set_default_size (GTK_WINDOW (f->window), sizes[0].width, sizes[0].height);
  gui_until (has_size, f, 5.0);
  for (gsize i = 0; i < G_N_ELEMENTS (others); i++)
    {
      g_autofree char *path = demo (others[i].job);
      open_job (f, path);
      g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (others[i].inches));
      gui_each (panels_of (f), unfold, NULL);
      for (gsize step = 0; step < G_N_ELEMENTS (steps); step++)
        {
          g_autofree char *name = g_strdup_printf ("job-%s-%" G_GSIZE_FORMAT "-%s", others[i].job, step + 1, steps[step]);
          g_autofree char *whole = g_strconcat ("panel-", name, NULL);
          go_to (f, steps[step]);
          n_cut += take (f, name);
          take_panel (f, whole);
        }
    }
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (FALSE));
  assert_int_equal (n_cut, 0);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown (test_first_start, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_other_jobs, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_every_step_and_view, fixture_set_up, fixture_tear_down),
  };
  return fixture_run (tests);
}
