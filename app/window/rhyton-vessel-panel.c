/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-vessel-panel.h"

#include <math.h>
#include <string.h>

#include "rhyton-catalogue.h"
#include "rhyton-howto.h"
#include "rhyton-panel.h"
#include "rhyton-photo-page.h"
#include "rhyton-section.h"
#include "rhyton-zone-list.h"

struct _RhytonVesselPanel
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  RhytonCatalogue *catalogue;
  GtkWidget  *name;
  GtkWidget  *reading;
  RhytonSection *section;
  GtkWidget  *stations;
  GtkWidget  *across_heading;
  RhytonHowto *across_howto;
  GtkWidget  *form;
  GtkWidget  *facts;
  GtkWidget  *capacity;
  RhytonMeasureEntry *thickness;
  RhytonMeasureEntry *floor;
  RhytonMeasureEntry *fill;
  RhytonMeasureEntry *overall;
  RhytonMeasureEntry *slant;
  RhytonMeasureEntry *height_u;
  RhytonMeasureEntry *diameter_u;
  GtkWidget  *sure;
  GtkWidget  *holds;
  GtkWidget  *volume;
  GtkWidget  *level;
  GtkWidget  *profile;
  GtkWidget  *profile_name;

  /* Owned: the rows, in the grid from row 1 on; borrowed from it */
  GPtrArray  *rows;             /* of Row */
  gboolean    refreshing;
};

typedef struct
{
  RhytonMeasureEntry *height;
  RhytonMeasureEntry *across;
  GtkWidget          *remove;
} Row;

typedef struct { double height_mm, across_mm; } Station;

G_DEFINE_FINAL_TYPE (RhytonVesselPanel, rhyton_vessel_panel, RHYTON_TYPE_PART)

static const RhyJobData *
job_data (RhytonVesselPanel *self)
{
  return rhy_job_get_data (rhyton_document_get_job (rhyton_part_get_document (RHYTON_PART (self))));
}

/* As they were read: diameters, or circumferences by tape. */
static GArray *
read_stations (RhytonVesselPanel *self)
{
  const RhyJobData *data = job_data (self);
  const double factor = data->vessel.by_tape ? G_PI : 1.0;
  GArray *stations = g_array_new (FALSE, FALSE, sizeof (Station));

  for (gsize i = 0; i < data->vessel.n_stations; i++)
    {
      const Station station = { data->vessel.heights_mm[i], data->vessel.diameters_mm[i] * factor };
      g_array_append_val (stations, station);
    }
  return stations;
}

static int
by_height (gconstpointer a,
           gconstpointer b)
{
  const double za = ((const Station *) a)->height_mm, zb = ((const Station *) b)->height_mm;
  return za < zb ? -1 : za > zb;
}

/* Circumferences go through pi and back: a nanometre's rounding keeps what was typed. */
static void
append_number (GString *list,
               double   value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  if (list->len > 0)
    g_string_append_c (list, ';');
  g_string_append (list, rhy_number_to_text (text, round (value * 1e6) / 1e6));
}

/* Heights may be typed in any order. */
static void
say_stations (GArray     *stations,
              gboolean    by_tape,
              GString    *heights,
              GString    *across,
              RhytonEdit  edits[3])
{
  g_array_sort (stations, by_height);
  for (guint i = 0; i < stations->len; i++)
    {
      append_number (heights, g_array_index (stations, Station, i).height_mm);
      append_number (across, g_array_index (stations, Station, i).across_mm);
    }
  edits[0] = (RhytonEdit) { "Vessel", "Heights", heights->str };
  edits[1] = (RhytonEdit) { "Vessel", by_tape ? "Diameters" : "Circumferences", NULL };
  edits[2] = (RhytonEdit) { "Vessel", by_tape ? "Circumferences" : "Diameters", across->str };
}

static void
write_stations (RhytonVesselPanel  *self,
                RhytonMeasureEntry *entry,
                const char         *name,
                GArray             *stations,
                gboolean            by_tape)
{
  g_autoptr (GString) heights = g_string_new (NULL);
  g_autoptr (GString) across = g_string_new (NULL);
  RhytonEdit edits[3];

  say_stations (stations, by_tape, heights, across, edits);
  rhyton_panel_enter (RHYTON_PART (self), entry, name, edits, G_N_ELEMENTS (edits));
}

/* What the job would be, drawn at once; what is no job yet leaves the drawing as it was. */
static void
try_edits (RhytonVesselPanel *self,
           const RhytonEdit  *edits,
           gsize              n)
{
  g_autoptr (RhyJob) job = rhyton_document_try (rhyton_part_get_document (RHYTON_PART (self)), edits, n, NULL);
  if (job != NULL)
    rhyton_section_try (self->section, job);
}

static void
on_renewed (RhytonVesselPanel *self)
{
  g_autofree char *text = rhyton_section_describe_level (self->section);
  gtk_label_set_label (GTK_LABEL (self->level), text);
  gtk_widget_set_visible (self->level, *text != '\0');
}

static guint
row_of (RhytonVesselPanel *self,
        gpointer           widget)
{
  for (guint i = 0; i < self->rows->len; i++)
    {
      const Row *row = g_ptr_array_index (self->rows, i);
      if (row->height == widget || row->across == widget || (gpointer) row->remove == widget)
        return i;
    }
  return G_MAXUINT;
}

static void
on_height (RhytonMeasureEntry *entry,
           double              value,
           RhytonVesselPanel  *self)
{
  g_autoptr (GArray) stations = read_stations (self);
  const guint i = row_of (self, entry);

  if (i >= stations->len)
    return;
  for (guint other = 0; other < stations->len; other++)
    if (other != i && g_array_index (stations, Station, other).height_mm == value)
      {
        rhyton_measure_entry_refuse (entry, "There is a reading at this height already.");
        return;
      }
  g_array_index (stations, Station, i).height_mm = value;
  write_stations (self, entry, "Height of a reading", stations, job_data (self)->vessel.by_tape);
}

static void
on_across (RhytonMeasureEntry *entry,
           double              value,
           RhytonVesselPanel  *self)
{
  g_autoptr (GArray) stations = read_stations (self);
  const gboolean by_tape = job_data (self)->vessel.by_tape;
  const guint i = row_of (self, entry);

  if (i >= stations->len)
    return;
  if (!(value > 0.0))
    {
      rhyton_measure_entry_refuse (entry, "A reading must be more than 0.");
      return;
    }
  g_array_index (stations, Station, i).across_mm = value;
  write_stations (self, entry, by_tape ? "Circumference" : "Diameter", stations, by_tape);
}

static guint
index_of_height (GArray *stations,
                 double  height_mm)
{
  for (guint i = 0; i < stations->len; i++)
    if (g_array_index (stations, Station, i).height_mm == height_mm)
      return i;
  return G_MAXUINT;
}

static void
on_typed (RhytonMeasureEntry *entry,
          double              value,
          RhytonVesselPanel  *self)
{
  const guint i = row_of (self, entry);
  if (self->refreshing || i == G_MAXUINT)
    return;
  g_autoptr (GArray) stations = read_stations (self);
  if (i >= stations->len)
    return;
  const Row *row = g_ptr_array_index (self->rows, i);
  Station *station = &g_array_index (stations, Station, i);
  if (row->height == entry)
    station->height_mm = value;
  else
    station->across_mm = value;
  const double height_mm = station->height_mm;
  g_autoptr (GString) heights = g_string_new (NULL);
  g_autoptr (GString) across = g_string_new (NULL);
  RhytonEdit edits[3];

  say_stations (stations, job_data (self)->vessel.by_tape, heights, across, edits);
  try_edits (self, edits, G_N_ELEMENTS (edits));
  rhyton_section_mark (self->section, (int) index_of_height (stations, height_mm));
}

static void
on_row_focus (GtkEventControllerFocus *focus,
              GParamSpec              *pspec,
              RhytonVesselPanel       *self)
{
  GtkWidget *widget = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus));
  const guint i = row_of (self, widget);

  if (i != G_MAXUINT)
    rhyton_section_mark (self->section, gtk_event_controller_focus_contains_focus (focus) ? (int) i : -1);
}

static void
watch_focus (RhytonVesselPanel *self,
             GtkWidget         *widget)
{
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "notify::contains-focus", G_CALLBACK (on_row_focus), self);
  gtk_widget_add_controller (widget, focus);
}

static void
on_picked (RhytonVesselPanel *self,
           int                reading)
{
  if (reading < 0 || (guint) reading >= self->rows->len)
    return;
  const Row *row = g_ptr_array_index (self->rows, (guint) reading);
  gtk_widget_grab_focus (GTK_WIDGET (row->across));
}

static void
on_remove (GtkWidget         *button,
           RhytonVesselPanel *self)
{
  g_autoptr (GArray) stations = read_stations (self);
  const guint i = row_of (self, button);

  if (i >= stations->len || stations->len <= 2)
    return;
  g_array_remove_index (stations, i);
  write_stations (self, NULL, "Removal of a reading", stations, job_data (self)->vessel.by_tape);
}

/* In the widest gap, at the diameter the wall has there: so nothing changes
 * until somebody types what was really read. */
static void
on_add (GtkWidget         *button,
        RhytonVesselPanel *self)
{
  g_autoptr (GArray) stations = read_stations (self);
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (RHYTON_PART (self)));
  const gboolean by_tape = job_data (self)->vessel.by_tape;
  guint below = 0;

  if (stations->len < 2)
    return;
  for (guint i = 0; i + 1 < stations->len; i++)
    if (g_array_index (stations, Station, i + 1).height_mm - g_array_index (stations, Station, i).height_mm
        > g_array_index (stations, Station, below + 1).height_mm - g_array_index (stations, Station, below).height_mm)
      below = i;
  const Station low = g_array_index (stations, Station, below);
  const Station high = g_array_index (stations, Station, below + 1);
  Station added = { round (0.5 * (low.height_mm + high.height_mm) * 10.0) / 10.0, low.across_mm };
  if (added.height_mm <= low.height_mm || added.height_mm >= high.height_mm)
    added.height_mm = 0.5 * (low.height_mm + high.height_mm);
  RhyRing ring;
  if (plan != NULL && rhy_wall_at_height (rhy_plan_get_wall (plan), added.height_mm, &ring))
    added.across_mm = round (ring.r_mm * (by_tape ? 2.0 * G_PI : 2.0) * 1e3) / 1e3;
  g_array_append_val (stations, added);
  write_stations (self, NULL, "Another reading", stations, by_tape);
  const Row *row = below + 1 < self->rows->len ? g_ptr_array_index (self->rows, below + 1) : NULL;
  if (row != NULL)
    gtk_widget_grab_focus (GTK_WIDGET (row->height));
}

static void
on_photograph (RhytonVesselPanel *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  if (!GTK_IS_WINDOW (root))
    return;
  gtk_window_present (GTK_WINDOW (rhyton_photo_page_new (GTK_WINDOW (root), rhyton_part_get_document (RHYTON_PART (self)))));
}

/* The readings are still in the job; the uncertainty was the profile's. */
static void
on_readings (RhytonVesselPanel *self)
{
  const RhytonEdit edits[] = { { "Vessel", "Profile", NULL }, { "Vessel", "DiameterUncertainty", NULL } };
  rhyton_panel_enter (RHYTON_PART (self), NULL, "Back to the readings", edits, G_N_ELEMENTS (edits));
}

static void
refresh_profile (RhytonVesselPanel *self)
{
  const char *file = job_data (self)->vessel.profile_file;
  g_autofree char *name = file != NULL ? g_path_get_basename (file) : NULL;
  g_autofree char *text = g_strdup_printf ("The wall is that of the profile %s; the readings are left alone.", name);
  gtk_label_set_label (GTK_LABEL (self->profile_name), name != NULL ? text : "");
  gtk_widget_set_visible (self->profile, name != NULL);
  gtk_widget_set_sensitive (self->stations, name == NULL);
}

static void
add_row (RhytonVesselPanel *self)
{
  const int i = (int) self->rows->len;
  Row *row = g_new0 (Row, 1);
  g_autofree char *remove_name = g_strdup_printf ("Remove reading %d", i + 1);

  row->height = RHYTON_MEASURE_ENTRY (rhyton_measure_entry_new ());
  row->across = RHYTON_MEASURE_ENTRY (rhyton_measure_entry_new ());
  row->remove = gtk_button_new_from_icon_name ("list-remove-symbolic");
  gtk_widget_add_css_class (row->remove, "flat");
  gtk_widget_set_valign (row->remove, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (row->remove, "Remove this reading");
  gtk_accessible_update_property (GTK_ACCESSIBLE (row->remove), GTK_ACCESSIBLE_PROPERTY_LABEL, remove_name, -1);
  gtk_widget_set_tooltip_text (GTK_WIDGET (row->height),
                               "Height of this reading above the base, along the axis: stand the vessel on a flat "
                               "plate and use a height gauge or a ruler held upright.");
  gtk_widget_set_tooltip_text (GTK_WIDGET (row->across),
                               "Outside, across the vessel with a caliper held level, or round it with a tape laid "
                               "level; take the greatest of a few readings of a diameter, the least of a tape.");
  g_signal_connect (row->height, "commit", G_CALLBACK (on_height), self);
  g_signal_connect (row->across, "commit", G_CALLBACK (on_across), self);
  g_signal_connect (row->height, "typed", G_CALLBACK (on_typed), self);
  g_signal_connect (row->across, "typed", G_CALLBACK (on_typed), self);
  watch_focus (self, GTK_WIDGET (row->height));
  watch_focus (self, GTK_WIDGET (row->across));
  g_signal_connect (row->remove, "clicked", G_CALLBACK (on_remove), self);
  gtk_grid_attach (GTK_GRID (self->stations), GTK_WIDGET (row->height), 0, i + 1, 1, 1);
  gtk_grid_attach (GTK_GRID (self->stations), GTK_WIDGET (row->across), 1, i + 1, 1, 1);
  gtk_grid_attach (GTK_GRID (self->stations), row->remove, 2, i + 1, 1, 1);
  g_ptr_array_add (self->rows, row);
}

static void
drop_row (RhytonVesselPanel *self)
{
  const Row *row = g_ptr_array_index (self->rows, self->rows->len - 1);

  gtk_grid_remove (GTK_GRID (self->stations), GTK_WIDGET (row->height));
  gtk_grid_remove (GTK_GRID (self->stations), GTK_WIDGET (row->across));
  gtk_grid_remove (GTK_GRID (self->stations), row->remove);
  g_ptr_array_remove_index (self->rows, self->rows->len - 1);
}

static void
refresh_rows (RhytonVesselPanel *self)
{
  g_autoptr (GArray) stations = read_stations (self);
  const gboolean by_tape = job_data (self)->vessel.by_tape;
  const gboolean inches = rhyton_document_get_inches (rhyton_part_get_document (RHYTON_PART (self)));

  while (self->rows->len < stations->len)
    add_row (self);
  while (self->rows->len > stations->len)
    drop_row (self);
  for (guint i = 0; i < stations->len; i++)
    {
      const Row *row = g_ptr_array_index (self->rows, i);
      const Station station = g_array_index (stations, Station, i);
      g_autofree char *height_name = g_strdup_printf ("Height %u", i + 1);
      g_autofree char *across_name = g_strdup_printf (by_tape ? "Circumference %u" : "Diameter %u", i + 1);
      g_object_set (row->height, "label", height_name, "inches", inches, "value", station.height_mm, NULL);
      g_object_set (row->across, "label", across_name, "inches", inches, "value", station.across_mm, NULL);
      gtk_widget_set_sensitive (row->remove, stations->len > 2);
    }
}

/* An independent check of the readings: a diameter off by 1 % changes it by 2 %. */
static char *
describe_capacity (RhytonVesselPanel *self,
                   RhyPlan           *plan)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyInside inside = { data->vessel.wall_thickness_mm, data->vessel.floor_mm, data->vessel.fill_height_mm };
  const double stated = data->vessel.capacity_ml;
  g_autoptr (GError) error = NULL;
  double ml;

  if (!rhy_wall_capacity (rhy_plan_get_wall (plan), &inside, &ml, &error))
    return rhyton_panel_lengths_in (error->message, rhyton_document_get_inches (rhyton_part_get_document (RHYTON_PART (self))));
  const char *of = inside.wall_mm > 0.0 ? "" : " within its outside";
  if (!(stated > 0.0))
    return g_strdup_printf ("By these readings it holds %.0f\u202fml%s.", ml, of);
  return g_strdup_printf ("By these readings it holds %.0f\u202fml%s, %+.0f\u202f%% against what is stated. A diameter that is "
                          "off by 1\u202f%% makes 2\u202f%%.", ml, of, 100.0 * (ml / stated - 1.0));
}

/* What the readings' uncertainties do to what is printed: twice the standard one, as the verdict says it. */
static char *
describe_certainty (RhytonVesselPanel *self,
                    RhyPlan           *plan)
{
  RhytonPart *part = RHYTON_PART (self);
  RhyPrintUncertainty u;

  if (!rhy_plan_get_uncertainty (plan, &u) || !isfinite (u.u_width_mm))
    return g_strdup ("What they do to the printed size shows once there is artwork.");
  g_autofree char *width = rhyton_panel_format_length (part, 2.0 * u.u_width_mm);
  g_autofree char *advice = rhy_plan_advise_reading (plan, &u);
  GString *text = g_string_new ("Printed width sure within ");
  g_string_append (text, width);
  /* Where it would read 0 it is no trouble. */
  if (2.0 * u.u_height_mm >= 0.005)
    {
      g_autofree char *height = rhyton_panel_format_length (part, 2.0 * u.u_height_mm);
      g_string_append_printf (text, ", height within %s", height);
    }
  g_string_append_c (text, '.');
  if (advice != NULL)
    {
      g_autofree char *there = rhyton_panel_lengths_in (advice, rhyton_document_get_inches (rhyton_part_get_document (part)));
      g_string_append_printf (text, " %c%s.", g_ascii_toupper (*there), there + 1);
      g_string_replace (text, "the station", "the reading", 0);
    }
  return g_string_free (text, FALSE);
}

/* As people write it; a terminal has no signs for that, and statistics are for the check. */
static char *
describe_form (RhyPlan *plan,
               gboolean inches)
{
  g_autofree char *plain = rhy_plan_describe_wall (plan);
  const RhyFit *fit = rhy_plan_get_fit (plan);
  char *figures = strstr (plain, "; ");
  GString *text;

  if (figures != NULL && fit != NULL && fit->n_free > 0)
    *figures = '\0';
  text = g_string_new (plain);
  if (fit != NULL && fit->n_free > 0)
    g_string_append (text, fit->agrees ? "; the readings agree with it" : "; the readings do not agree: see Check");
  g_string_replace (text, "station", "reading", 0);
  g_string_replace (text, " degrees", "\u00b0", 0);
  g_string_replace (text, "+-", "\u00b1", 0);
  g_string_replace (text, " (k = 2)", "", 0);
  char *there = rhyton_panel_lengths_in (text->str, inches);
  g_string_free (text, TRUE);
  return there;
}

/* Moving each reading up and down takes its time: only for somebody who looks. */
static void
refresh_facts (RhytonVesselPanel *self)
{
  RhytonPart *part = RHYTON_PART (self);
  RhytonDocument *document = rhyton_part_get_document (part);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;

  if (plan != NULL && !gtk_widget_get_mapped (GTK_WIDGET (self)))
    return;
  gtk_label_set_label (GTK_LABEL (self->facts), "");
  gtk_label_set_label (GTK_LABEL (self->holds), "");
  gtk_label_set_label (GTK_LABEL (self->sure), "");
  if (plan == NULL)
    return;
  RhyWall *wall = rhy_plan_get_wall (plan);
  const double length = rhy_wall_get_length (wall);
  g_autofree char *slant = rhyton_panel_format_length (part, length);
  g_autofree char *turn = rhyton_panel_format_length (part, 2.0 * G_PI * rhy_wall_at (wall, 0.5 * length).r_mm);
  g_autofree char *found = describe_form (plan, rhyton_document_get_inches (document));
  g_autofree char *certainty = describe_certainty (self, plan);
  g_autofree char *capacity = describe_capacity (self, plan);
  g_autofree char *text = g_strdup_printf ("Found: %s\nAlong the wall: %s\nAround the middle: %s",
                                           found, slant, turn);
  gtk_label_set_label (GTK_LABEL (self->facts), text);
  gtk_label_set_label (GTK_LABEL (self->holds), capacity);
  gtk_label_set_label (GTK_LABEL (self->sure), certainty);
}

/* The job knows it in ml, however it was typed. */
static char *
format_capacity (RhytonVesselPanel *self)
{
  const double ml = job_data (self)->vessel.capacity_ml;
  return ml > 0.0 ? g_strdup_printf ("%.0f ml", ml) : g_strdup ("");
}

/* What has a key of its own: 0 or NAN there means that nobody measured it. */
static const struct
{
  gsize       entry, value;     /* in the panel, in the job's data */
  const char *key, *name;
} numbers[] = {
  { offsetof (RhytonVesselPanel, thickness), offsetof (RhyJobData, vessel.wall_thickness_mm), "WallThickness",
    "Thickness of the wall" },
  { offsetof (RhytonVesselPanel, floor), offsetof (RhyJobData, vessel.floor_mm), "Floor", "Height of the floor" },
  { offsetof (RhytonVesselPanel, fill), offsetof (RhyJobData, vessel.fill_height_mm), "FillHeight", "Height of the fill line" },
  { offsetof (RhytonVesselPanel, overall), offsetof (RhyJobData, vessel.overall_height_mm), "OverallHeight", "Overall height" },
  { offsetof (RhytonVesselPanel, slant), offsetof (RhyJobData, vessel.slant_mm), "Slant", "Length along the wall" },
  { offsetof (RhytonVesselPanel, height_u), offsetof (RhyJobData, vessel.height_uncertainty_mm), "HeightUncertainty",
    "Uncertainty of heights" },
  { offsetof (RhytonVesselPanel, diameter_u), offsetof (RhyJobData, vessel.diameter_uncertainty_mm), "DiameterUncertainty",
    "Uncertainty of diameters" },
};

static RhytonMeasureEntry *
entry_of (RhytonVesselPanel *self,
          gsize              i)
{
  return G_STRUCT_MEMBER (RhytonMeasureEntry *, self, numbers[i].entry);
}

/* NaN, for empty, is no value that a property takes. */
static void
refresh_numbers (RhytonVesselPanel *self)
{
  const gboolean inches = rhyton_document_get_inches (rhyton_part_get_document (RHYTON_PART (self)));

  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      const double value = G_STRUCT_MEMBER (double, job_data (self), numbers[i].value);
      /* A floor may lie at 0; the others do not. */
      const gboolean none = value == 0.0 && entry_of (self, i) != self->floor;
      rhyton_measure_entry_set_inches (entry_of (self, i), inches);
      rhyton_measure_entry_set_value (entry_of (self, i), none ? NAN : value);
    }
}

static void
refresh_inside (RhytonVesselPanel *self)
{
  g_autofree char *capacity = format_capacity (self);

  if (strcmp (gtk_editable_get_text (GTK_EDITABLE (self->capacity)), capacity) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->capacity), capacity);
  gtk_widget_remove_css_class (self->capacity, "error");
  refresh_numbers (self);
}

static void
rhyton_vessel_panel_job_changed (RhytonPart *part)
{
  RhytonVesselPanel *self = RHYTON_VESSEL_PANEL (part);
  const RhyJobData *data = job_data (self);
  const char *name = data->vessel.name != NULL ? data->vessel.name : "";

  self->refreshing = TRUE;
  if (strcmp (gtk_editable_get_text (GTK_EDITABLE (self->name)), name) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->name), name);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->reading), data->vessel.by_tape ? 1 : 0);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->form), data->vessel.form);
  gtk_label_set_label (GTK_LABEL (self->across_heading), data->vessel.by_tape ? "Circumference" : "Diameter");
  rhyton_howto_set_topic (self->across_howto, data->vessel.by_tape ? "circumference" : "diameter");
  self->refreshing = FALSE;
  rhyton_catalogue_set_inches (self->catalogue, rhyton_document_get_inches (rhyton_part_get_document (part)));
  self->refreshing = TRUE;
  refresh_rows (self);
  refresh_profile (self);
  refresh_inside (self);
  self->refreshing = FALSE;
  refresh_facts (self);
}

static void
rhyton_vessel_panel_plan_changed (RhytonPart *part)
{
  refresh_facts (RHYTON_VESSEL_PANEL (part));
}

static void
rhyton_vessel_panel_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (rhyton_vessel_panel_parent_class)->map (widget);
  refresh_facts (RHYTON_VESSEL_PANEL (widget));
}

static void
on_capacity (RhytonVesselPanel *self)
{
  g_autofree char *text = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->capacity))));
  g_autofree char *shown = format_capacity (self);
  const RhytonEdit edit = { "Vessel", "Capacity", *text != '\0' ? text : NULL };
  g_autoptr (GError) error = NULL;

  if (strcmp (text, shown) == 0)
    return;
  if (rhyton_document_change (rhyton_part_get_document (RHYTON_PART (self)), "Stated capacity", NULL, &edit, 1, &error))
    return;
  g_autofree char *why = rhyton_panel_explain (error);
  gtk_widget_add_css_class (self->capacity, "error");
  gtk_label_set_label (GTK_LABEL (self->holds), why);
}

static void
on_number (RhytonMeasureEntry *entry,
           double              value,
           RhytonVesselPanel  *self)
{
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (entry_of (self, i) == entry)
      rhyton_panel_enter_number (RHYTON_PART (self), entry, numbers[i].name, "Vessel", numbers[i].key, value);
}

static void
on_number_typed (RhytonMeasureEntry *entry,
                 double              value,
                 RhytonVesselPanel  *self)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  for (gsize i = 0; i < G_N_ELEMENTS (numbers) && !self->refreshing; i++)
    if (entry_of (self, i) == entry)
      {
        const RhytonEdit edit = { "Vessel", numbers[i].key, isnan (value) ? NULL : rhy_number_to_text (text, value) };
        try_edits (self, &edit, 1);
      }
}

/* A question: nothing of it goes into the job. */
static void
on_volume (RhytonVesselPanel *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->volume));
  g_autofree char *stripped = g_strstrip (g_strdup (text));
  double ml = 0.0;
  const gboolean bad = *stripped != '\0' && !rhy_volume_parse (stripped, &ml);

  rhyton_section_set_volume (self->section, ml);
  if (bad)
    gtk_widget_add_css_class (self->volume, "error");
  else
    gtk_widget_remove_css_class (self->volume, "error");
  if (bad)
    {
      gtk_label_set_label (GTK_LABEL (self->level), "A number above 0, in ml; or US fl oz, or imperial fl oz.");
      gtk_widget_set_visible (self->level, TRUE);
    }
  else if (ml == 0.0)
    on_renewed (self);
}

static void
on_chosen (RhytonVesselPanel *self,
           const RhyJob      *vessel)
{
  g_autoptr (GError) error = NULL;

  if (!rhyton_document_take_vessel (rhyton_part_get_document (RHYTON_PART (self)), vessel, &error))
    gtk_label_set_label (GTK_LABEL (self->facts), error->message);
}

static void
on_name (RhytonVesselPanel *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->name));
  const RhyJobData *data = job_data (self);

  if (strcmp (text, data->vessel.name != NULL ? data->vessel.name : "") == 0)
    return;
  /* A key file's value is escaped text. */
  g_autoptr (GKeyFile) scratch = g_key_file_new ();
  g_key_file_set_string (scratch, "Vessel", "Name", text);
  g_autofree char *value = g_key_file_get_value (scratch, "Vessel", "Name", NULL);
  const RhytonEdit edit = { "Vessel", "Name", *text != '\0' ? value : NULL };
  rhyton_panel_enter (RHYTON_PART (self), NULL, "Name of the vessel", &edit, 1);
}

static void
on_reading (GtkDropDown       *drop_down,
            GParamSpec        *pspec,
            RhytonVesselPanel *self)
{
  const gboolean by_tape = gtk_drop_down_get_selected (drop_down) == 1;

  if (self->refreshing || by_tape == job_data (self)->vessel.by_tape)
    return;
  g_autoptr (GArray) stations = read_stations (self);
  for (guint i = 0; i < stations->len; i++)
    {
      Station *station = &g_array_index (stations, Station, i);
      station->across_mm = round (station->across_mm * (by_tape ? G_PI : 1.0 / G_PI) * 1e3) / 1e3;
    }
  write_stations (self, NULL, by_tape ? "Readings by tape" : "Readings by caliper", stations, by_tape);
}

static void
on_form (GtkDropDown       *drop_down,
         GParamSpec        *pspec,
         RhytonVesselPanel *self)
{
  static const char *const forms[] = { "auto", "straight", "stepped", "smooth" };
  const guint selected = gtk_drop_down_get_selected (drop_down);

  if (self->refreshing || selected >= G_N_ELEMENTS (forms))
    return;
  const RhytonEdit edit = { "Vessel", "Wall", forms[selected] };
  rhyton_panel_enter (RHYTON_PART (self), NULL, "Form of the wall", &edit, 1);
}

/* Whoever comes by a key or a button comes to type readings. */
static gboolean
rhyton_vessel_panel_grab_focus (GtkWidget *widget)
{
  RhytonVesselPanel *self = RHYTON_VESSEL_PANEL (widget);
  const Row *first = self->rows->len > 0 ? g_ptr_array_index (self->rows, 0) : NULL;
  return first != NULL && gtk_widget_is_sensitive (self->stations) && gtk_widget_grab_focus (GTK_WIDGET (first->height));
}

static void
rhyton_vessel_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_VESSEL_PANEL);
  G_OBJECT_CLASS (rhyton_vessel_panel_parent_class)->dispose (object);
}

static void
rhyton_vessel_panel_finalize (GObject *object)
{
  g_ptr_array_unref (RHYTON_VESSEL_PANEL (object)->rows);
  G_OBJECT_CLASS (rhyton_vessel_panel_parent_class)->finalize (object);
}

static void
rhyton_vessel_panel_class_init (RhytonVesselPanelClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  object_class->dispose = rhyton_vessel_panel_dispose;
  object_class->finalize = rhyton_vessel_panel_finalize;
  widget_class->map = rhyton_vessel_panel_map;
  widget_class->grab_focus = rhyton_vessel_panel_grab_focus;
  part_class->job_changed = rhyton_vessel_panel_job_changed;
  part_class->plan_changed = rhyton_vessel_panel_plan_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-vessel-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, catalogue);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, name);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, reading);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, section);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, stations);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, across_heading);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, across_howto);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, form);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, facts);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, capacity);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, thickness);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, floor);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, fill);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, overall);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, slant);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, height_u);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, diameter_u);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, sure);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, holds);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, volume);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, level);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, profile);
  gtk_widget_class_bind_template_child (widget_class, RhytonVesselPanel, profile_name);
  gtk_widget_class_bind_template_callback (widget_class, on_capacity);
  gtk_widget_class_bind_template_callback (widget_class, on_number);
  gtk_widget_class_bind_template_callback (widget_class, on_number_typed);
  gtk_widget_class_bind_template_callback (widget_class, on_volume);
  gtk_widget_class_bind_template_callback (widget_class, on_picked);
  gtk_widget_class_bind_template_callback (widget_class, on_renewed);
  gtk_widget_class_bind_template_callback (widget_class, on_chosen);
  gtk_widget_class_bind_template_callback (widget_class, on_add);
  gtk_widget_class_bind_template_callback (widget_class, on_name);
  gtk_widget_class_bind_template_callback (widget_class, on_reading);
  gtk_widget_class_bind_template_callback (widget_class, on_form);
  gtk_widget_class_bind_template_callback (widget_class, on_photograph);
  gtk_widget_class_bind_template_callback (widget_class, on_readings);
}

static void
rhyton_vessel_panel_init (RhytonVesselPanel *self)
{
  self->rows = g_ptr_array_new_with_free_func (g_free);
  g_type_ensure (RHYTON_TYPE_ZONE_LIST);
  g_type_ensure (RHYTON_TYPE_CATALOGUE);
  g_type_ensure (RHYTON_TYPE_SECTION);
  g_type_ensure (RHYTON_TYPE_HOWTO);
  gtk_widget_init_template (GTK_WIDGET (self));
}
