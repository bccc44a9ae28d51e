/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-figures.h"

#include <math.h>

#include "rhyton-howto.h"
#include "rhyton-panel.h"

/* What a fact is taken from. */
typedef struct
{
  RhytonPart           *part;
  const RhyJobData     *data;
  const RhyPlanNumbers *numbers;
  RhyWall              *wall;
  const RhyHolding     *holding;
} Known;

/* For what ways of holding a figure matters. */
enum
{
  CHUCK = 1 << 0,
  ROLLERS = 1 << 1,
  PINS = 1 << 2,
  TAILSTOCK = 1 << 3,           /* a chuck's */
  SUPPORT_ROLLER = 1 << 4,      /* a chuck's */
  ANY = CHUCK | ROLLERS | PINS,
};

typedef struct
{
  const char *about;
  const char *label;
  const char *group, *key;
  gsize       offset;           /* of a double in RhyJobData */
  gboolean    is_angle;
  gboolean    zero_is_open;     /* 0 means that it is not given */
  int         ways;
  const char *placeholder;
  const char *tip;
  const char *topic;            /* of a RhytonHowto */
  char     *(*fact) (const Known *known, gboolean *is_bad);     /* (nullable): what comes of it; %NULL: nothing to say */
} Figure;

/* ---- what comes of a figure, below its field ---- */

static char *
in_use (const Known *known,
        double       entered,
        double       mm)
{
  if (entered > 0.0 || !(mm > 0.0))
    return NULL;
  g_autofree char *length = rhyton_panel_format_length (known->part, mm);
  return g_strconcat ("In use: ", length, NULL);
}

static char *
contact_fact (const Known *known,
              gboolean    *is_bad)
{
  return in_use (known, known->data->hold.contact_height_mm, rhy_wall_at (known->wall, known->numbers->anchor.s).z_mm);
}

static char *
reference_fact (const Known *known,
                gboolean    *is_bad)
{
  return in_use (known, known->data->hold.reference_diameter_mm, known->numbers->reference_diameter_mm);
}

static char *
support_fact (const Known *known,
              gboolean    *is_bad)
{
  if (isnan (known->holding->support_height_mm))
    return NULL;
  g_autofree char *length = rhyton_panel_format_length (known->part, known->holding->support_height_mm);
  return g_strdup_printf (known->data->hold.support == RHY_SUPPORT_ROLLER ? "Top of the roller: %s above the bed"
                                                                          : "Its axis: %s above the bed", length);
}

static char *
droop_fact (const Known *known,
            gboolean    *is_bad)
{
  if (!(known->data->hold.sag_rad > 0.0))
    return NULL;
  return g_strdup_printf ("Set the chuck itself to %.1f\u00b0", known->holding->chuck_tilt_rad * 180.0 / G_PI);
}

static char *
bed_fact (const Known *known,
          gboolean    *is_bad)
{
  const double mm = rhy_holding_least (known->holding, known->holding->bed, -1).distance_mm;
  const double prop_mm = known->holding->prop_mm;
  if (!(mm < G_MAXDOUBLE))
    return NULL;
  *is_bad = prop_mm > 0.0;
  g_autofree char *length = rhyton_panel_format_length (known->part, *is_bad ? prop_mm : mm);
  return g_strdup_printf (*is_bad ? "The work meets the bed: prop the rotary up by %s"
                                  : "The work keeps %s from the bed", length);
}

static char *
riser_fact (const Known *known,
            gboolean    *is_bad)
{
  const double mm = known->holding->riser_mm;
  if (isnan (mm))
    return NULL;
  *is_bad = mm > 0.0;
  if (!*is_bad)
    return g_strdup ("High enough: no riser");
  g_autofree char *length = rhyton_panel_format_length (known->part, mm);
  return g_strdup_printf ("Riser under the head's frame: %s", length);
}

static char *
head_fact (const Known *known,
           gboolean    *is_bad)
{
  const double mm = rhy_holding_least (known->holding, known->holding->head, -1).distance_mm;
  if (!(mm < G_MAXDOUBLE))
    return NULL;
  *is_bad = mm <= 0.0;
  g_autofree char *length = rhyton_panel_format_length (known->part, fabs (mm));
  return g_strdup_printf (*is_bad ? "The head meets something, by %s" : "The head keeps %s from everything", length);
}

static char *
jaws_fact (const Known *known,
           gboolean    *is_bad)
{
  const double mm = rhy_holding_least (known->holding, known->holding->head, RHY_ZONE_JAWS).distance_mm;
  if (!(mm < G_MAXDOUBLE))
    return NULL;
  *is_bad = mm <= 0.0;
  g_autofree char *length = rhyton_panel_format_length (known->part, fabs (mm));
  return g_strdup_printf (*is_bad ? "The head meets them, by %s" : "The head keeps %s from them", length);
}

static char *
reach_fact (const Known *known,
            gboolean    *is_bad)
{
  const RhyHolding *h = known->holding;
  if (!h->is_head_known)
    return NULL;
  *is_bad = !h->reaches;
  if (*is_bad)
    return g_strdup ("The beam cannot work at the mark");
  g_autofree char *low = rhyton_panel_format_length (known->part, h->reach_low_mm);
  g_autofree char *high = rhyton_panel_format_length (known->part, h->reach_high_mm);
  return g_strdup_printf ("The beam reaches heights %s to %s", low, high);
}

static char *
focus_fact (const Known *known,
            gboolean    *is_bad)
{
  const double mm = known->holding->focus_greatest_mm - known->holding->focus_least_mm;
  *is_bad = mm > known->data->machine.depth_of_focus_mm;
  g_autofree char *length = rhyton_panel_format_length (known->part, mm);
  return g_strdup_printf ("The drawing needs %s", length);
}

static char *
tilt_fact (const Known *known,
           gboolean    *is_bad)
{
  *is_bad = known->holding->beyond_rad > 1e-9;
  return g_strdup_printf ("In use: %.1f\u00b0", known->holding->chuck_tilt_rad * 180.0 / G_PI);
}

static char *
seat_fact (const Known *known,
           gboolean    *is_bad)
{
  const double seat = known->holding->seat_rad;
  if (isnan (seat))
    return NULL;
  return g_strdup_printf ("The work lies on them at %.0f\u00b0 from straight down", seat * 180.0 / G_PI);
}

#define AT(member) offsetof (RhyJobData, member)

static const Figure figures[] = {
  { "work", "Contact height", "Hold", "ContactHeight", AT (hold.contact_height_mm), FALSE, FALSE, ROLLERS, "at the mark",
    "Height above the base of the ring that lies on the rollers.",
    "contact", contact_fact },
  { "work", "Reference diameter", "Hold", "ReferenceDiameter", AT (hold.reference_diameter_mm), FALSE, TRUE, CHUCK | PINS, "automatic",
    "The diameter that the machine's software turns into travel, where it asks for one. Empty: the fattest under the ink.",
    "reference", reference_fact },
  { "work", "Support height", "Hold", "SupportHeight", AT (hold.support_height_mm), FALSE, FALSE, SUPPORT_ROLLER, "automatic",
    "Height above the base of the ring that the support roller carries. Empty: a quarter of the wall from the free end.",
    "support", support_fact },
  { "work", "Droop", "Hold", "Sag", AT (hold.sag_rad), TRUE, FALSE, CHUCK, NULL,
    "How far a heavy piece droops from its chuck: lay a level on it.",
    "droop", droop_fact },
  { "work", "Wobble", "Hold", "Runout", AT (hold.runout_mm), FALSE, FALSE, ANY, NULL,
    "From the highest to the lowest reading of a dial as the work turns once.",
    "wobble", NULL },
  { "work", "Out of focus by", "Hold", "Defocus", AT (hold.defocus_mm), FALSE, FALSE, ANY, NULL,
    "How far the head is set above its focus on purpose.",
    "defocus", NULL },
  { "machine", "Axis above the bed", "Machine", "AxisHeight", AT (machine.axis_height_mm), FALSE, FALSE, CHUCK | PINS, "not known",
    "From the bed to the middle of the rotary axis.",
    "axis", bed_fact },
  { "machine", "Nozzle at its highest", "Machine", "NozzleTop", AT (machine.nozzle_top_mm), FALSE, FALSE, ANY, "not known",
    "From the bed to the nozzle's tip when the head is as high as it goes.",
    "nozzle-top", riser_fact },
  { "machine", "Working distance", "Machine", "WorkingDistance", AT (machine.working_distance_mm), FALSE, FALSE, ANY, "not known",
    "From the nozzle's tip to the work in focus.",
    "distance", head_fact },
  { "machine", "Depth of focus", "Machine", "DepthOfFocus", AT (machine.depth_of_focus_mm), FALSE, FALSE, ANY, "not known",
    "By how much that distance may change in all before the line gets wide.",
    "focus-depth", focus_fact },
  { "machine", "Nozzle radius", "Machine", "NozzleRadius", AT (machine.nozzle_radius_mm), FALSE, FALSE, ANY, "not known",
    "Half the width of the nozzle at its tip.",
    "head", NULL },
  { "machine", "Head half width", "Machine", "HeadHalfWidth", AT (machine.head_half_width_mm), FALSE, FALSE, ANY, "not known",
    "From the beam to the side of the head along the rotary axis.",
    "head", NULL },
  { "machine", "Head above the tip", "Machine", "HeadHeight", AT (machine.head_height_mm), FALSE, FALSE, ANY, "not known",
    "From the nozzle's tip up to the underside of the head.",
    "head", reach_fact },
  { "machine", "Least tilt", "Machine", "TiltMin", AT (machine.tilt_min_rad), TRUE, FALSE, CHUCK, "no limit",
    "How far the free end can be lifted above the chuck: less than 0.",
    "tilt-limits", tilt_fact },
  { "machine", "Greatest tilt", "Machine", "TiltMax", AT (machine.tilt_max_rad), TRUE, FALSE, CHUCK, "no limit",
    "How far the free end can dip below the chuck.",
    "tilt-limits", tilt_fact },
  { "machine", "Jaws take", "Machine", "JawDepth", AT (machine.jaw_depth_mm), FALSE, FALSE, CHUCK, "not known",
    "How much of the wall the jaws cover.",
    "jaws", NULL },
  { "machine", "Jaws stand out", "Machine", "JawStand", AT (machine.jaw_stand_mm), FALSE, FALSE, CHUCK, "not known",
    "How far the jaws stand out of the wall.",
    "jaws", jaws_fact },
  { "machine", "Chuck radius", "Machine", "ChuckRadius", AT (machine.chuck_radius_mm), FALSE, FALSE, CHUCK | PINS, "not known",
    "Radius of what is behind the jaws.",
    "jaws", NULL },
  { "machine", "Tailstock radius", "Machine", "TailstockRadius", AT (machine.tailstock_radius_mm), FALSE, FALSE, TAILSTOCK, "not known",
    "Radius of what presses against the free end.",
    "tailstock", support_fact },
  { "machine", "Pin radius", "Machine", "PinRadius", AT (machine.pin_radius_mm), FALSE, FALSE, PINS, "not known",
    "Radius of the pins.",
    "pins", NULL },
  { "machine", "Pin length", "Machine", "PinLength", AT (machine.pin_length_mm), FALSE, FALSE, PINS, "not known",
    "From the work to where what carries the pin begins.",
    "pins", NULL },
  { "machine", "Roller radius", "Machine", "RollerRadius", AT (machine.roller_radius_mm), FALSE, FALSE, ROLLERS | SUPPORT_ROLLER, "not known",
    "Half the diameter of a roller.",
    "rollers", NULL },
  { "machine", "Gap of the rollers", "Machine", "RollerGap", AT (machine.roller_gap_mm), FALSE, FALSE, ROLLERS, "not known",
    "The clear space between the two rollers.",
    "rollers", seat_fact },
  { "machine", "Bed width", "Machine", "BedWidth", AT (machine.bed_width_mm), FALSE, FALSE, ANY, "not known",
    "How far the machine reaches along x.",
    "bed", NULL },
  { "machine", "Bed height", "Machine", "BedHeight", AT (machine.bed_height_mm), FALSE, FALSE, ANY, "not known",
    "How far the machine reaches along y.",
    "bed", NULL },
};

struct _RhytonFigures
{
  RhytonPart          parent_instance;

  GtkWidget          *grid;     /* a row each, and one below for what comes of it */
  GtkWidget          *labels[G_N_ELEMENTS (figures)];
  RhytonMeasureEntry *entries[G_N_ELEMENTS (figures)];
  GtkWidget          *howtos[G_N_ELEMENTS (figures)];
  GtkWidget          *facts[G_N_ELEMENTS (figures)];
};

enum { PROP_ABOUT = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonFigures, rhyton_figures, RHYTON_TYPE_PART)

static void
on_commit (RhytonMeasureEntry *entry,
           double              value,
           RhytonFigures      *self)
{
  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    if (self->entries[i] == entry)
      rhyton_panel_enter_number (RHYTON_PART (self), entry, figures[i].label, figures[i].group, figures[i].key, value);
}

static GtkWidget *
make_label (const char *text)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  return label;
}

static void
add_row (RhytonFigures *self,
         gsize          i)
{
  const Figure *figure = &figures[i];
  GtkGrid *grid = GTK_GRID (self->grid);
  GtkWidget *label = make_label (figure->label);
  GtkWidget *fact = make_label (NULL);
  GtkWidget *howto = rhyton_howto_new (figure->topic);
  GtkWidget *entry = g_object_new (RHYTON_TYPE_MEASURE_ENTRY, "label", figure->label, "angle", figure->is_angle, "optional", TRUE,
                                   "placeholder", figure->placeholder != NULL ? figure->placeholder : "0",
                                   "tooltip-text", figure->tip, NULL);

  gtk_widget_set_hexpand (label, TRUE);
  gtk_widget_set_valign (label, GTK_ALIGN_START);
  gtk_widget_set_margin_top (label, 8);
  gtk_widget_add_css_class (fact, "caption");
  gtk_widget_add_css_class (fact, "numeric");
  gtk_widget_set_visible (fact, FALSE);
  gtk_grid_attach (grid, label, 0, 2 * (int) i, 1, 1);
  gtk_grid_attach (grid, entry, 1, 2 * (int) i, 1, 1);
  gtk_grid_attach (grid, howto, 2, 2 * (int) i, 1, 1);
  gtk_grid_attach (grid, fact, 0, 2 * (int) i + 1, 3, 1);
  g_signal_connect (entry, "commit", G_CALLBACK (on_commit), self);
  self->labels[i] = label;
  self->entries[i] = RHYTON_MEASURE_ENTRY (entry);
  self->howtos[i] = howto;
  self->facts[i] = fact;
}

static int
way_of (const RhyJobData *data)
{
  if (data->hold.drive == RHY_DRIVE_ROLLERS)
    return ROLLERS;
  if (data->hold.drive == RHY_DRIVE_PINS)
    return PINS;
  return CHUCK | (data->hold.support == RHY_SUPPORT_TAILSTOCK ? TAILSTOCK : 0)
         | (data->hold.support == RHY_SUPPORT_ROLLER ? SUPPORT_ROLLER : 0);
}

static void
show_fact (RhytonFigures *self,
           gsize          i,
           const Known   *known)
{
  gboolean is_bad = FALSE;
  const gboolean is_about = gtk_widget_get_visible (self->labels[i]);
  g_autofree char *text = known != NULL && is_about ? figures[i].fact (known, &is_bad) : NULL;

  gtk_label_set_label (GTK_LABEL (self->facts[i]), text != NULL ? text : "");
  gtk_widget_set_visible (self->facts[i], text != NULL);
  gtk_widget_remove_css_class (self->facts[i], is_bad ? "dim-label" : "error");
  gtk_widget_add_css_class (self->facts[i], is_bad ? "error" : "dim-label");
}

static void
rhyton_figures_plan_changed (RhytonPart *part)
{
  RhytonFigures *self = RHYTON_FIGURES (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;
  RhyVerdict *verdict = document != NULL ? rhyton_document_get_verdict (document) : NULL;

  Known known = { .part = part };
  if (plan != NULL && verdict != NULL)
    known = (Known) { part, rhy_job_get_data (rhy_plan_get_job (plan)), rhy_plan_get_numbers (plan), rhy_plan_get_wall (plan),
                      rhy_verdict_get_holding (verdict) };
  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    if (self->facts[i] != NULL && figures[i].fact != NULL)
      show_fact (self, i, known.holding != NULL ? &known : NULL);
}

static void
rhyton_figures_job_changed (RhytonPart *part)
{
  RhytonFigures *self = RHYTON_FIGURES (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  const int way = way_of (data);

  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    {
      const Figure *figure = &figures[i];
      if (self->entries[i] == NULL)
        continue;
      double value = *(const double *) (const void *) ((const char *) data + figure->offset);
      if (figure->zero_is_open && value == 0.0)
        value = NAN;
      rhyton_measure_entry_set_inches (self->entries[i], rhyton_document_get_inches (document));
      rhyton_measure_entry_set_value (self->entries[i], figure->is_angle ? value * 180.0 / G_PI : value);
      gtk_widget_set_visible (self->labels[i], (figure->ways & way) != 0);
      gtk_widget_set_visible (GTK_WIDGET (self->entries[i]), (figure->ways & way) != 0);
      gtk_widget_set_visible (self->howtos[i], (figure->ways & way) != 0);
    }
  /* In another unit, or of another way of holding. */
  rhyton_figures_plan_changed (part);
}

static void
rhyton_figures_set_property (GObject      *object,
                             guint         id,
                             const GValue *value,
                             GParamSpec   *pspec)
{
  RhytonFigures *self = RHYTON_FIGURES (object);

  if (id != PROP_ABOUT)
    {
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
      return;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    if (g_strcmp0 (figures[i].about, g_value_get_string (value)) == 0)
      add_row (self, i);
}

static void
rhyton_figures_dispose (GObject *object)
{
  g_clear_pointer (&RHYTON_FIGURES (object)->grid, gtk_widget_unparent);
  G_OBJECT_CLASS (rhyton_figures_parent_class)->dispose (object);
}

static void
rhyton_figures_class_init (RhytonFiguresClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->set_property = rhyton_figures_set_property;
  object_class->dispose = rhyton_figures_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_figures_job_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_figures_plan_changed;

  properties[PROP_ABOUT] = g_param_spec_string ("about", NULL, NULL, NULL,
                                                G_PARAM_WRITABLE | G_PARAM_CONSTRUCT_ONLY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
rhyton_figures_init (RhytonFigures *self)
{
  self->grid = gtk_grid_new ();
  gtk_grid_set_row_spacing (GTK_GRID (self->grid), 4);
  gtk_grid_set_column_spacing (GTK_GRID (self->grid), 6);
  gtk_widget_set_parent (self->grid, GTK_WIDGET (self));
}
