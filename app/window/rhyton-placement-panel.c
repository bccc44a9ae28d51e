/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-placement-panel.h"

#include <math.h>

#include "rhyton-artwork-list.h"
#include "rhyton-comparison.h"
#include "rhyton-howto.h"
#include "rhyton-panel.h"
#include "rhyton-places.h"

struct _RhytonPlacementPanel
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  RhytonMeasureEntry *width;
  RhytonMeasureEntry *height;
  RhytonMeasureEntry *at;
  RhytonMeasureEntry *around;
  RhytonMeasureEntry *turn;
  GtkWidget          *lay_meaning;
  GtkWidget          *eye;
  RhytonMeasureEntry *eye_distance;
  RhytonMeasureEntry *eye_height;
  GtkWidget          *several;
  GtkWidget          *stretch;
};

G_DEFINE_FINAL_TYPE (RhytonPlacementPanel, rhyton_placement_panel, RHYTON_TYPE_PART)

/* In the order of RhyLayKind. */
static const char *const lay_meanings[] = {
  "As a paper cut-out stuck on. Nothing stretches on a cylinder or a cone.",
  "Lines of lettering stay level with the rim; the width is right at the middle of the artwork.",
  "As level with the rim, with the stretch shared evenly between top and bottom.",
  "Shapes of letters stay right everywhere; their size drifts with the diameter.",
  "Every patch keeps its area, so the ink covers as drawn.",
  "Looks undistorted to somebody who stands in front of it.",
  "As little stretch as a sheet can have on this wall.",
};

static void
refresh_fields (RhytonPlacementPanel *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const RhyPlan *plan = rhyton_document_get_part (document);
  const RhyPlanNumbers *numbers = plan != NULL ? rhy_plan_get_numbers (plan) : NULL;
  double width = artwork->width_mm > 0.0 ? artwork->width_mm : NAN;
  double height = artwork->height_mm > 0.0 ? artwork->height_mm : NAN;
  double at = artwork->at_mm;

  /* What the job leaves open, the plan knows. */
  if (numbers != NULL && numbers->width_mm > 0.0 && isnan (width))
    width = numbers->width_mm;
  if (numbers != NULL && numbers->height_mm > 0.0 && isnan (height))
    height = numbers->height_mm;
  if (numbers != NULL && isnan (at))
    at = rhy_wall_at (rhy_plan_get_wall (plan), numbers->anchor.s).z_mm;

  const gboolean inches = rhyton_document_get_inches (document);
  RhytonMeasureEntry *const lengths[] = { self->width, self->height, self->at, self->eye_distance, self->eye_height };
  for (gsize i = 0; i < G_N_ELEMENTS (lengths); i++)
    rhyton_measure_entry_set_inches (lengths[i], inches);
  rhyton_measure_entry_set_value (self->width, width);
  rhyton_measure_entry_set_value (self->height, height);
  rhyton_measure_entry_set_value (self->at, at);
  rhyton_measure_entry_set_value (self->around, artwork->around_rad * 180.0 / G_PI);
  rhyton_measure_entry_set_value (self->turn, artwork->turn_rad * 180.0 / G_PI);
  rhyton_measure_entry_set_value (self->eye_distance, artwork->eye_distance_mm);
  rhyton_measure_entry_set_value (self->eye_height, artwork->eye_height_mm);

  gtk_widget_set_visible (self->several, rhy_job_get_data (rhyton_document_get_job (document))->n_artworks > 1);
  gtk_label_set_label (GTK_LABEL (self->lay_meaning), lay_meanings[artwork->lay]);
  gtk_widget_set_visible (self->eye, artwork->lay == RHY_LAY_SEEN);
}

static void
rhyton_placement_panel_changed (RhytonPart *part)
{
  refresh_fields (RHYTON_PLACEMENT_PANEL (part));
}

/* A job gives one of the two; the other follows from the drawing. */
static void
enter_size (RhytonPlacementPanel *self,
            RhytonMeasureEntry   *entry,
            const char           *name,
            const char           *key,
            const char           *other_key,
            double                value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  const RhytonEdit edits[] = {
    { "Artwork", key, rhy_number_to_text (text, value) },
    { "Artwork", other_key, NULL },
  };

  if (!(value > 0.0))
    {
      rhyton_measure_entry_refuse (entry, "A size must be more than 0.");
      return;
    }
  rhyton_panel_enter (RHYTON_PART (self), entry, name, edits, G_N_ELEMENTS (edits));
}

static void
on_width (RhytonMeasureEntry   *entry,
          double                value,
          RhytonPlacementPanel *self)
{
  enter_size (self, entry, "Width", "Width", "Height", value);
}

static void
on_height (RhytonMeasureEntry   *entry,
           double                value,
           RhytonPlacementPanel *self)
{
  enter_size (self, entry, "Height", "Height", "Width", value);
}

static void
on_at (RhytonMeasureEntry   *entry,
       double                value,
       RhytonPlacementPanel *self)
{
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (RHYTON_PART (self)));
  RhyRing ring;

  if (isfinite (value) && plan != NULL && !rhy_wall_at_height (rhy_plan_get_wall (plan), value, &ring))
    {
      RhyWall *wall = rhy_plan_get_wall (plan);
      g_autofree char *low = rhyton_panel_format_length (RHYTON_PART (self), rhy_wall_at (wall, 0.0).z_mm);
      g_autofree char *high = rhyton_panel_format_length (RHYTON_PART (self),
                                                          rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm);
      g_autofree char *why = g_strdup_printf ("The wall goes from %s to %s.", low, high);
      rhyton_measure_entry_refuse (entry, why);
      return;
    }
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Height above the base", "Artwork", "At", value);
}

static void
on_around (RhytonMeasureEntry   *entry,
           double                value,
           RhytonPlacementPanel *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Angle around", "Artwork", "Around", value);
}

static void
on_turn (RhytonMeasureEntry   *entry,
         double                value,
         RhytonPlacementPanel *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Turn of the artwork", "Artwork", "Turn", value);
}

static void
on_eye_distance (RhytonMeasureEntry   *entry,
                 double                value,
                 RhytonPlacementPanel *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Distance of the eye", "Artwork", "EyeDistance", value);
}

static void
on_eye_height (RhytonMeasureEntry   *entry,
               double                value,
               RhytonPlacementPanel *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Height of the eye", "Artwork", "EyeHeight", value);
}

static void
rhyton_placement_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PLACEMENT_PANEL);
  G_OBJECT_CLASS (rhyton_placement_panel_parent_class)->dispose (object);
}

static void
rhyton_placement_panel_class_init (RhytonPlacementPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_placement_panel_dispose;
  part_class->job_changed = rhyton_placement_panel_changed;
  part_class->plan_changed = rhyton_placement_panel_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-placement-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, width);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, height);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, at);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, around);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, turn);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, several);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, lay_meaning);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, eye);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, eye_distance);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, eye_height);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlacementPanel, stretch);
  gtk_widget_class_bind_template_callback (widget_class, on_width);
  gtk_widget_class_bind_template_callback (widget_class, on_height);
  gtk_widget_class_bind_template_callback (widget_class, on_at);
  gtk_widget_class_bind_template_callback (widget_class, on_around);
  gtk_widget_class_bind_template_callback (widget_class, on_turn);
  gtk_widget_class_bind_template_callback (widget_class, on_eye_distance);
  gtk_widget_class_bind_template_callback (widget_class, on_eye_height);
}

static void
rhyton_placement_panel_init (RhytonPlacementPanel *self)
{
  g_type_ensure (RHYTON_TYPE_ARTWORK_LIST);
  g_type_ensure (RHYTON_TYPE_COMPARISON);
  g_type_ensure (RHYTON_TYPE_PLACES);
  g_type_ensure (RHYTON_TYPE_HOWTO);
  gtk_widget_init_template (GTK_WIDGET (self));
}
