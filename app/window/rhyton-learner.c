/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-learner.h"

#include <math.h>

#include "rhyton-dialogs.h"
#include "rhyton-howto.h"
#include "rhyton-length-row.h"
#include "rhyton-making.h"
#include "rhyton-panel.h"

/* Standard uncertainties of a reading, mm (common practice, no source). */
#define CALIPER_MM 0.05
#define TAPE_MM 0.5

/* More than anybody reads; a table holds more. */
#define LENGTHS_MAX 12

/* In the order of the list in the template. */
typedef enum { WAY_LENGTH, WAY_TURN, WAY_TABLE } Way;

struct _RhytonLearner
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *way;
  GtkWidget          *length;
  RhytonMeasureEntry *nominal;
  RhytonMeasureEntry *printed;
  GtkWidget          *more;
  GtkWidget          *add;
  GtkWidget          *turn;
  RhytonMeasureEntry *overrun;
  RhytonMeasureEntry *diameter;
  GtkWidget          *table;
  GtkWidget          *table_name;
  GtkDropDown        *tool;
  RhytonMeasureEntry *set;
  GtkWidget          *result;
  GtkWidget          *complaint;
  GtkWidget          *use;
  GtkWidget          *keep;

  /* mm; NaN: not entered */
  double              values[5];
  char               *path;     /* of the table */
  RhyCalibration      learnt;
  gboolean            has_learnt;
  guint               asked;    /* how often: only the answer to the newest question counts */
};

enum { NOMINAL, PRINTED, OVERRUN, DIAMETER, SET };

G_DEFINE_FINAL_TYPE (RhytonLearner, rhyton_learner, RHYTON_TYPE_PART)

typedef struct
{
  Way    way;
  double values[5];
  double u_mm;
  char  *path;
  GArray *lengths;              /* RhyLengthReading: those that are complete */
} Readings;

typedef struct
{
  RhyCalibration learnt;
  char          *text;
} Lesson;

typedef struct
{
  RhytonLearner *learner;
  guint          asked;
} Question;

static void
free_readings (gpointer data)
{
  Readings *readings = data;
  g_free (readings->path);
  g_array_unref (readings->lengths);
  g_free (readings);
}

static void
free_lesson (gpointer data)
{
  Lesson *lesson = data;
  g_free (lesson->text);
  g_free (lesson);
}

static gboolean
learn (const Readings  *r,
       RhyPlan         *plan,
       double           set_mm,
       RhyCalibration  *learnt,
       GError         **error)
{
  switch (r->way)
    {
    case WAY_LENGTH:
      return rhy_calibration_from_lengths (set_mm, (const RhyLengthReading *) (const void *) r->lengths->data, r->lengths->len, learnt,
                                           error);
    case WAY_TURN:
      return rhy_calibration_from_overrun (set_mm, r->values[OVERRUN], r->u_mm, r->values[DIAMETER], CALIPER_MM, learnt, error);
    case WAY_TABLE:
    default:
      return rhy_learning_from_grid_file (plan, r->path, set_mm, r->u_mm, learnt, error);
    }
}

static void
add_names (GString              *text,
           const char           *before,
           const RhyCalibration *c,
           gboolean              testable)
{
  /* In the words of the fields. */
  static const char *const names[] = {
    [RHY_CAUSE_TRAVEL] = "the travel per turn", [RHY_CAUSE_AXIS_SCALE] = "the scale along the axis",
    [RHY_CAUSE_SHEAR] = "an axis that lies askew", [RHY_CAUSE_TAPER] = "the taper", [RHY_CAUSE_TILT] = "the tilt",
  };
  guint n = 0;

  for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
    if (c->causes[i].testable == testable && !c->causes[i].supported)
      g_string_append_printf (text, "%s%s", n++ == 0 ? before : ", ", names[i]);
  if (n > 0)
    g_string_append (text, ".\n");
}

/* What the command line says in columns, in sentences that wrap. */
static char *
describe (const RhyCalibration *c,
          double                set_mm,
          const RhyPlan        *plan)
{
  GString *text = g_string_new (NULL);
  char travel[G_ASCII_DTOSTR_BUF_SIZE], u[G_ASCII_DTOSTR_BUF_SIZE], set[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append_printf (text, "Travel per turn: %s +- %s mm (about 95\u202f%%). The piece was made with %s mm.\n",
                          g_ascii_formatd (travel, sizeof travel, "%.2f", c->travel_per_turn_mm),
                          g_ascii_formatd (u, sizeof u, "%.2f", c->uncertainty_mm), g_ascii_formatd (set, sizeof set, "%.2f", set_mm));
  for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
    {
      g_autofree char *sentence = rhy_learning_describe_cause (i, &c->causes[i]);
      if (c->causes[i].testable && c->causes[i].supported)
        g_string_append_printf (text, "\u2022 Found: %s.\n", sentence);
    }
  add_names (text, "\u2022 Not found: ", c, TRUE);
  add_names (text, "\u2022 These readings cannot tell: ", c, FALSE);
  g_autofree char *advice = rhy_learning_advise (c, plan);
  g_string_append (text, advice);
  g_string_replace (text, "+-", "\u00b1", 0);
  return g_strchomp (g_string_free (text, FALSE));
}

/* In a thread. */
static gpointer
work (RhyJob        *job,
      RhyPlan       *plan,
      gpointer       data,
      GCancellable  *cancellable,
      GError       **error)
{
  const Readings *r = data;
  const double set_mm = isfinite (r->values[SET]) ? r->values[SET] : rhy_plan_get_numbers (plan)->travel_per_turn_mm;
  g_autofree Lesson *lesson = g_new0 (Lesson, 1);

  if (!learn (r, plan, set_mm, &lesson->learnt, error))
    return NULL;
  lesson->text = describe (&lesson->learnt, set_mm, plan);
  return g_steal_pointer (&lesson);
}

static void
say (RhytonLearner *self,
     const char    *text,
     const char    *complaint)
{
  gtk_label_set_label (GTK_LABEL (self->result), text != NULL ? text : "");
  gtk_widget_set_visible (self->result, text != NULL);
  gtk_label_set_label (GTK_LABEL (self->complaint), complaint != NULL ? complaint : "");
  gtk_widget_set_visible (self->complaint, complaint != NULL);
  gtk_widget_set_sensitive (self->use, text != NULL);
  gtk_widget_set_sensitive (self->keep, text != NULL);
}

static void
worked (GObject      *source,
        GAsyncResult *result,
        gpointer      data)
{
  g_autofree Question *question = data;
  g_autoptr (RhytonLearner) self = question->learner;
  g_autoptr (GError) error = NULL;
  Lesson *lesson = rhyton_document_run_finish (RHYTON_DOCUMENT (source), result, &error);

  /* Its window may have gone meanwhile, or other readings have been entered. */
  if (self->box == NULL || question->asked != self->asked)
    {
      g_clear_pointer (&lesson, free_lesson);
      return;
    }
  self->has_learnt = lesson != NULL;
  if (lesson == NULL)
    {
      say (self, NULL, error->message);
      return;
    }
  self->learnt = lesson->learnt;
  say (self, lesson->text, NULL);
  free_lesson (lesson);
}

/* As many as are complete; one with only one of its two numbers does not count. */
static void
add_length (GArray *lengths,
            double  nominal,
            double  printed,
            double  u_mm)
{
  const RhyLengthReading reading = { nominal, printed, u_mm };
  if (nominal > 0.0 && printed > 0.0)
    g_array_append_val (lengths, reading);
}

static GArray *
lengths_of (RhytonLearner *self,
            double         u_mm)
{
  GArray *lengths = g_array_new (FALSE, FALSE, sizeof (RhyLengthReading));
  add_length (lengths, self->values[NOMINAL], self->values[PRINTED], u_mm);
  for (GtkWidget *row = gtk_widget_get_first_child (self->more); row != NULL; row = gtk_widget_get_next_sibling (row))
    {
      double nominal, printed;
      rhyton_length_row_get (RHYTON_LENGTH_ROW (row), &nominal, &printed);
      add_length (lengths, nominal, printed, u_mm);
    }
  return lengths;
}

static gboolean
is_complete (RhytonLearner *self,
             Way            way)
{
  switch (way)
    {
    case WAY_LENGTH:
      {
        g_autoptr (GArray) lengths = lengths_of (self, 1.0);
        return lengths->len > 0;
      }
    case WAY_TURN:
      return isfinite (self->values[OVERRUN]) && self->values[DIAMETER] > 0.0;
    case WAY_TABLE:
    default:
      return self->path != NULL;
    }
}

/* As soon as there is enough to learn from. */
static void
ask (RhytonLearner *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const Way way = (Way) gtk_drop_down_get_selected (self->way);

  self->asked++;
  self->has_learnt = FALSE;
  say (self, NULL, NULL);
  if (document == NULL || !is_complete (self, way))
    return;
  Readings *readings = g_new0 (Readings, 1);
  readings->way = way;
  for (gsize i = 0; i < G_N_ELEMENTS (readings->values); i++)
    readings->values[i] = self->values[i];
  readings->u_mm = gtk_drop_down_get_selected (self->tool) == 1 ? TAPE_MM : CALIPER_MM;
  readings->path = g_strdup (self->path);
  readings->lengths = lengths_of (self, readings->u_mm);
  Question *question = g_new (Question, 1);
  *question = (Question) { g_object_ref (self), self->asked };
  rhyton_document_run (document, work, TRUE, readings, free_readings, free_lesson, worked, question);
}

static void
refresh (RhytonLearner *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const Way way = (Way) gtk_drop_down_get_selected (self->way);
  RhytonMeasureEntry *const entries[] = { self->nominal, self->printed, self->overrun, self->diameter, self->set };
  g_autofree char *name = self->path != NULL ? g_path_get_basename (self->path) : g_strdup ("no table yet");

  for (gsize i = 0; i < G_N_ELEMENTS (entries); i++)
    {
      rhyton_measure_entry_set_inches (entries[i], document != NULL && rhyton_document_get_inches (document));
      rhyton_measure_entry_set_value (entries[i], self->values[i]);
    }
  guint number = 2;
  for (GtkWidget *row = gtk_widget_get_first_child (self->more); row != NULL; row = gtk_widget_get_next_sibling (row))
    {
      rhyton_length_row_set_inches (RHYTON_LENGTH_ROW (row), document != NULL && rhyton_document_get_inches (document));
      rhyton_length_row_set_number (RHYTON_LENGTH_ROW (row), number++);
    }
  gtk_widget_set_visible (self->more, number > 2);
  gtk_widget_set_sensitive (self->add, number <= LENGTHS_MAX);
  gtk_widget_set_visible (self->length, way == WAY_LENGTH);
  gtk_widget_set_visible (self->turn, way == WAY_TURN);
  gtk_widget_set_visible (self->table, way == WAY_TABLE);
  gtk_label_set_label (GTK_LABEL (self->table_name), name);
  /* Only a machine file of its own is worth keeping something in. */
  gtk_widget_set_visible (self->keep, document != NULL
                                      && rhy_job_get_data (rhyton_document_get_job (document))->machine.file != NULL);
}

static void
on_choice (GtkDropDown   *drop_down,
           GParamSpec    *pspec,
           RhytonLearner *self)
{
  refresh (self);
  ask (self);
}

static void
on_value (RhytonMeasureEntry *entry,
          double              value,
          RhytonLearner      *self)
{
  RhytonMeasureEntry *const entries[] = { self->nominal, self->printed, self->overrun, self->diameter, self->set };

  for (gsize i = 0; i < G_N_ELEMENTS (entries); i++)
    {
      if (entries[i] != entry)
        continue;
      if (i != OVERRUN && value <= 0.0)
        {
          rhyton_measure_entry_refuse (entry, "This must be more than 0.");
          return;
        }
      self->values[i] = value;
    }
  refresh (self);
  ask (self);
}

static void
on_remove (GtkWidget     *row,
           RhytonLearner *self)
{
  gtk_box_remove (GTK_BOX (self->more), row);
  refresh (self);
  ask (self);
}

static void
on_add (RhytonLearner *self)
{
  GtkWidget *row = rhyton_length_row_new ();
  g_signal_connect_object (row, "changed", G_CALLBACK (ask), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (row, "remove", G_CALLBACK (on_remove), self, 0);
  gtk_box_append (GTK_BOX (self->more), row);
  refresh (self);
  gtk_widget_child_focus (row, GTK_DIR_TAB_FORWARD);
}

void
rhyton_learner_read_table (RhytonLearner *self,
                           GFile         *file)
{
  g_return_if_fail (RHYTON_IS_LEARNER (self) && G_IS_FILE (file));

  g_free (self->path);
  self->path = g_file_get_path (file);
  gtk_drop_down_set_selected (self->way, WAY_TABLE);
  refresh (self);
  ask (self);
}

static void
table_chosen (GFile    *file,
              gpointer  data)
{
  g_autoptr (RhytonLearner) self = data;
  if (file != NULL)
    rhyton_learner_read_table (self, file);
}

static void
on_choose_table (RhytonLearner *self)
{
  g_autofree char *folder = rhyton_making_folder (rhyton_part_get_document (RHYTON_PART (self)));
  rhyton_dialogs_choose_file (rhyton_making_window (RHYTON_PART (self)), "Open a Table of Readings", RHYTON_CHOICE_TABLE, NULL,
                              folder, table_chosen, g_object_ref (self));
}

static void
on_use (RhytonLearner *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (!self->has_learnt)
    return;
  rhyton_document_change_number (document, "Travel per turn, learnt", NULL, "Machine", "TravelPerTurn",
                                 round (self->learnt.travel_per_turn_mm * 1e4) / 1e4, NULL);
  rhyton_making_notice (RHYTON_PART (self), "The job has the travel per turn that was learnt.", NULL);
}

static void
on_keep (RhytonLearner *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  g_autoptr (GError) error = NULL;

  if (!self->has_learnt)
    return;
  g_autofree char *said = rhy_learning_write (rhyton_document_get_job (document), &self->learnt, &error);
  if (said == NULL || !rhyton_document_read_again (document, &error))
    rhyton_making_tell (RHYTON_PART (self), error);
  else
    rhyton_making_notice (RHYTON_PART (self), said, NULL);
}

static void
rhyton_learner_job_changed (RhytonPart *part)
{
  refresh (RHYTON_LEARNER (part));
}

static void
rhyton_learner_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_LEARNER);
  G_OBJECT_CLASS (rhyton_learner_parent_class)->dispose (object);
}

static void
rhyton_learner_finalize (GObject *object)
{
  g_free (RHYTON_LEARNER (object)->path);
  G_OBJECT_CLASS (rhyton_learner_parent_class)->finalize (object);
}

static void
rhyton_learner_class_init (RhytonLearnerClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_learner_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_learner_finalize;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_learner_job_changed;

  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-learner.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, way);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, length);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, nominal);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, printed);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, more);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, add);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, turn);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, overrun);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, diameter);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, table);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, table_name);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, tool);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, set);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, result);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, use);
  gtk_widget_class_bind_template_child (widget_class, RhytonLearner, keep);
  gtk_widget_class_bind_template_callback (widget_class, on_choice);
  gtk_widget_class_bind_template_callback (widget_class, on_value);
  gtk_widget_class_bind_template_callback (widget_class, on_add);
  gtk_widget_class_bind_template_callback (widget_class, on_choose_table);
  gtk_widget_class_bind_template_callback (widget_class, on_use);
  gtk_widget_class_bind_template_callback (widget_class, on_keep);
}

static void
rhyton_learner_init (RhytonLearner *self)
{
  for (gsize i = 0; i < G_N_ELEMENTS (self->values); i++)
    self->values[i] = NAN;
  g_type_ensure (RHYTON_TYPE_HOWTO);
  gtk_widget_init_template (GTK_WIDGET (self));
  refresh (self);
  say (self, NULL, NULL);
}
