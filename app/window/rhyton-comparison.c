/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-comparison.h"

#include <math.h>
#include <string.h>

#include "rhyton-panel.h"
#include "rhyton-worker.h"

/* Dragging makes a plan every frame: the sum waits until the hand rests. */
#define REST_MS 250

/* What no eye could tell. */
#define EXACT 5e-4

typedef enum { SUBJECT_LAYS, SUBJECT_HOLDS } Subject;

typedef struct
{
  RhyPlan *plan;
  Subject  subject;
} Question;

typedef struct
{
  /* lays */
  RhyLayChoice choices[RHY_LAY_N_KINDS];
  RhyLayKind   best;
  char        *reason;
  /* holds */
  GPtrArray   *rows;            /* of RhyHoldRow, NULL for lays */
} Answer;

struct _RhytonComparison
{
  RhytonPart    parent_instance;

  /* Template children */
  GtkListBox   *list;

  /* Owned */
  RhytonWorker *worker;
  Answer       *answer;         /* that the rows show */
  GPtrArray    *rows;           /* of Words: what they say of it */
  Subject       subject;
  guint         rest;           /* timeout */
};

enum { PROP_SUBJECT = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonComparison, rhyton_comparison, RHYTON_TYPE_PART)

static const char *const lay_titles[RHY_LAY_N_KINDS] = {
  [RHY_LAY_ROLLED] = "Rolled on",
  [RHY_LAY_RINGED] = "Level with the rim",
  [RHY_LAY_RINGED_BALANCED] = "Level, shared stretch",
  [RHY_LAY_ANGLE_TRUE] = "Shapes stay right",
  [RHY_LAY_AREA_TRUE] = "Areas stay right",
  [RHY_LAY_SEEN] = "Seen from the front",
  [RHY_LAY_LEAST_STRETCH] = "Least stretch",
};

static const char *const way_titles[RHY_N_WAYS] = {
  [RHY_WAY_BASE] = "Chuck about the base",
  [RHY_WAY_MOUTH] = "Chuck about the mouth",
  [RHY_WAY_INSIDE] = "Chuck inside the mouth",
  [RHY_WAY_ROLLERS] = "On rollers",
  [RHY_WAY_PINS] = "Between pins",
};

static void
free_question (gpointer data)
{
  Question *question = data;
  rhy_plan_unref (question->plan);
  g_free (question);
}

static void
free_answer (gpointer data)
{
  Answer *answer = data;
  g_clear_pointer (&answer->rows, g_ptr_array_unref);
  g_free (answer->reason);
  g_free (answer);
}

static gpointer
gather (gpointer owner)
{
  RhytonComparison *self = owner;
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  if (document == NULL)
    return NULL;
  /* A lay is one artwork's, a way of holding all of them's. */
  const RhyPlan *plan = self->subject == SUBJECT_LAYS ? rhyton_document_get_part (document)
                                                      : rhyton_document_get_plan (document);
  if (plan == NULL)
    return NULL;
  Question *question = g_new (Question, 1);
  question->plan = rhy_plan_ref ((RhyPlan *) plan);
  question->subject = self->subject;
  return question;
}

/* In a thread. */
static gpointer
work (gpointer      input,
      GCancellable *cancellable)
{
  const Question *question = input;
  Answer *answer = g_new0 (Answer, 1);

  if (question->subject == SUBJECT_LAYS)
    {
      rhy_plan_compare_lays (question->plan, answer->choices);
      answer->best = rhy_plan_recommend_lay (question->plan, answer->choices, &answer->reason);
    }
  else
    answer->rows = rhy_plan_compare_holds (question->plan, cancellable);
  return answer;
}

static GtkWidget *
make_label (const char *text,
            const char *style)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 30);
  if (style != NULL)
    gtk_widget_add_css_class (label, style);
  return label;
}

/* What a row says. */
typedef struct
{
  char    *title, *caption;
  gboolean is_own, is_possible;
} Words;

static void
free_words (gpointer data)
{
  Words *words = data;
  g_free (words->title);
  g_free (words->caption);
  g_free (words);
}

static void
add_words (GPtrArray  *rows,
           const char *title,
           const char *caption,
           gboolean    is_own,
           gboolean    is_possible)
{
  Words *words = g_new (Words, 1);
  *words = (Words) { g_strdup (title), g_strdup (caption), is_own, is_possible };
  g_ptr_array_add (rows, words);
}

static gboolean
is_same (const GPtrArray *a,
         const GPtrArray *b)
{
  if (a->len != b->len)
    return FALSE;
  for (guint i = 0; i < a->len; i++)
    {
      const Words *x = a->pdata[i], *y = b->pdata[i];
      if (strcmp (x->title, y->title) != 0 || strcmp (x->caption, y->caption) != 0
          || x->is_own != y->is_own || x->is_possible != y->is_possible)
        return FALSE;
    }
  return TRUE;
}

static void
append_row (RhytonComparison *self,
            const Words      *words)
{
  const char *title = words->title, *caption = words->caption;
  const gboolean is_own = words->is_own, is_possible = words->is_possible;
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);
  GtkWidget *texts = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *mark = gtk_image_new_from_icon_name ("object-select-symbolic");
  GtkWidget *small = make_label (caption, "caption");
  g_autofree char *name = g_strdup_printf ("%s%s: %s", title, is_own ? ", as now" : "", caption);

  gtk_widget_add_css_class (small, "dim-label");
  gtk_widget_set_valign (mark, GTK_ALIGN_START);
  /* Its room stays, so that the titles stand in one line. */
  gtk_widget_set_opacity (mark, is_own ? 1.0 : 0.0);
  gtk_box_append (GTK_BOX (texts), make_label (title, is_possible ? NULL : "dim-label"));
  gtk_box_append (GTK_BOX (texts), small);
  gtk_box_append (GTK_BOX (box), mark);
  gtk_box_append (GTK_BOX (box), texts);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  gtk_list_box_append (self->list, row);
}

static char *
describe_lay (const RhyLayChoice *choice,
              const char         *reason)
{
  const double least = choice->stretch.minor_min - 1.0, most = choice->stretch.major_max - 1.0;
  g_autofree char *stretch = NULL;

  if (!choice->is_possible)
    return g_strdup ("Some of the artwork would find no place on the wall.");
  if (fabs (least) < EXACT && fabs (most) < EXACT)
    stretch = g_strdup ("No stretch");
  else
    stretch = g_strdup_printf ("%+.1f\u202f%% to %+.1f\u202f%%, shapes off by %.1f\u00b0", least * 100.0, most * 100.0,
                               choice->stretch.angle_max_rad * 180.0 / G_PI);
  return reason != NULL ? g_strdup_printf ("%s. Recommended: %s.", stretch, reason) : g_steal_pointer (&stretch);
}

static void
list_lays (RhytonComparison *self,
           GPtrArray        *rows)
{
  const Answer *answer = self->answer;
  const RhyLayKind own = rhyton_document_get_artwork (rhyton_part_get_document (RHYTON_PART (self)))->lay;

  for (guint i = 0; i < RHY_LAY_N_KINDS; i++)
    {
      g_autofree char *caption = answer != NULL ? describe_lay (&answer->choices[i], i == answer->best ? answer->reason : NULL)
                                                : g_strdup ("\u2026");
      add_words (rows, lay_titles[i], caption, i == own, answer == NULL || answer->choices[i].is_possible);
    }
}

/* The library's objection without the keys of the job file. */
static char *
in_plain_words (const char *objection)
{
  g_autoptr (GRegex) keys = g_regex_new (" \\([A-Z][A-Za-z]+\\)", 0, 0, NULL);
  g_autofree char *plain = g_regex_replace_literal (keys, objection, -1, 0, "", 0, NULL);
  g_autoptr (GRegex) degrees = g_regex_new ("([0-9]) degrees\\b", 0, 0, NULL);
  char *text = g_regex_replace (degrees, plain, -1, 0, "\\1\u00b0", 0, NULL);
  text[0] = g_ascii_toupper (text[0]);
  return text;
}

static char *
describe_hold (RhytonComparison *self,
               const RhyHoldRow *row)
{
  RhytonPart *part = RHYTON_PART (self);
  const RhyHolding *h = row->holding;
  GString *text = g_string_new (NULL);

  if (row->forbids != NULL)
    {
      g_autofree char *words = in_plain_words (row->forbids);
      g_autofree char *plain = rhyton_panel_lengths_in (words, rhyton_document_get_inches (rhyton_part_get_document (part)));
      g_string_append_printf (text, "%s. ", plain);
    }
  if (!h->reaches)
    return g_string_free (text, FALSE);
  g_autofree char *low = rhyton_panel_format_length (part, h->reach_low_mm);
  g_autofree char *high = rhyton_panel_format_length (part, h->reach_high_mm);
  g_string_append_printf (text, "Works from %s to %s up, tilted %.1f\u00b0.", low, high,
                          /* No minus zero. */
                          round (h->chuck_tilt_rad * 1800.0 / G_PI) / 10.0 + 0.0);
  /* What cannot be held so has no largest size. */
  if (row->forbids == NULL && row->width_mm > 0.0)
    {
      g_autofree char *width = rhyton_panel_format_length (part, row->width_mm);
      g_autofree char *height = rhyton_panel_format_length (part, row->height_mm);
      g_string_append_printf (text, " Largest artwork %s \u00d7 %s.", width, height);
    }
  return g_string_free (text, FALSE);
}

static void
list_holds (RhytonComparison *self,
            GPtrArray        *rows)
{
  static const char *const supports[] = { "", ", tailstock", ", support roller" };

  for (guint i = 0; i < self->answer->rows->len; i++)
    {
      const RhyHoldRow *row = g_ptr_array_index (self->answer->rows, i);
      g_autofree char *title = g_strconcat (way_titles[row->way], supports[row->support], NULL);
      g_autofree char *caption = describe_hold (self, row);
      add_words (rows, title, caption, row->is_own, row->forbids == NULL);
    }
}

static void
make_rows (RhytonComparison *self)
{
  GtkListBoxRow *focused = NULL, *row;
  GtkWidget *root = GTK_WIDGET (gtk_widget_get_root (GTK_WIDGET (self)));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus (GTK_ROOT (root)) : NULL;
  int place = -1;

  if (focus != NULL && gtk_widget_is_ancestor (focus, GTK_WIDGET (self->list)))
    focused = GTK_LIST_BOX_ROW (gtk_widget_get_ancestor (focus, GTK_TYPE_LIST_BOX_ROW));
  if (GTK_IS_LIST_BOX_ROW (focus))
    focused = GTK_LIST_BOX_ROW (focus);
  if (focused != NULL && gtk_widget_is_ancestor (GTK_WIDGET (focused), GTK_WIDGET (self->list)))
    place = gtk_list_box_row_get_index (focused);
  while ((row = gtk_list_box_get_row_at_index (self->list, 0)) != NULL)
    gtk_list_box_remove (self->list, GTK_WIDGET (row));
  for (guint i = 0; i < self->rows->len; i++)
    append_row (self, self->rows->pdata[i]);
  /* Who walks the rows by keys stays where they were. */
  if (place >= 0 && (row = gtk_list_box_get_row_at_index (self->list, place)) != NULL)
    gtk_widget_grab_focus (GTK_WIDGET (row));
}

/* While artwork is dragged the job changes at every frame, and hardly ever what the rows say. */
static void
show (RhytonComparison *self)
{
  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func (free_words);

  if (self->subject == SUBJECT_LAYS)
    list_lays (self, rows);
  else if (self->answer != NULL)
    list_holds (self, rows);
  if (is_same (rows, self->rows))
    return;
  g_ptr_array_unref (self->rows);
  self->rows = g_steal_pointer (&rows);
  make_rows (self);
}

static void
done (gpointer owner,
      gpointer result)
{
  RhytonComparison *self = owner;

  g_clear_pointer (&self->answer, free_answer);
  self->answer = result;
  show (self);
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = work,
  .done = done,
  .free_input = free_question,
  .free_result = free_answer,
};

static gboolean
rested (gpointer data)
{
  RhytonComparison *self = data;

  self->rest = 0;
  rhyton_worker_request (self->worker);
  return G_SOURCE_REMOVE;
}

static void
ask (RhytonComparison *self)
{
  if (!gtk_widget_get_mapped (GTK_WIDGET (self)))
    return;
  g_clear_handle_id (&self->rest, g_source_remove);
  rhyton_worker_cancel (self->worker);
  self->rest = g_timeout_add (REST_MS, rested, self);
}

static void
rhyton_comparison_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (rhyton_comparison_parent_class)->map (widget);
  ask (RHYTON_COMPARISON (widget));
}

static void
rhyton_comparison_unmap (GtkWidget *widget)
{
  RhytonComparison *self = RHYTON_COMPARISON (widget);

  g_clear_handle_id (&self->rest, g_source_remove);
  rhyton_worker_cancel (self->worker);
  GTK_WIDGET_CLASS (rhyton_comparison_parent_class)->unmap (widget);
}

/* Lengths may have another unit now, or another artwork may be selected. */
static void
rhyton_comparison_job_changed (RhytonPart *part)
{
  show (RHYTON_COMPARISON (part));
  ask (RHYTON_COMPARISON (part));
}

static void
rhyton_comparison_plan_changed (RhytonPart *part)
{
  ask (RHYTON_COMPARISON (part));
}

gboolean
rhyton_comparison_is_busy (RhytonComparison *self)
{
  g_return_val_if_fail (RHYTON_IS_COMPARISON (self), FALSE);
  return self->rest != 0 || rhyton_worker_is_busy (self->worker);
}

static void
take_lay (RhytonComparison *self,
          RhyLayKind        kind)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhytonEdit edit = { "Artwork", "Lay", rhy_lay_kind_to_string (kind) };

  if (rhyton_document_get_artwork (document)->lay != kind)
    rhyton_panel_enter (RHYTON_PART (self), NULL, "Lay", &edit, 1);
}

static void
take_hold (RhytonComparison *self,
           const RhyHoldRow *row)
{
  const gboolean is_chuck = row->way != RHY_WAY_ROLLERS && row->way != RHY_WAY_PINS;
  const RhytonEdit edits[] = {
    { "Hold", "Drive", row->way == RHY_WAY_ROLLERS ? "rollers" : row->way == RHY_WAY_PINS ? "pins" : "chuck" },
    { "Hold", "End", row->way == RHY_WAY_MOUTH || row->way == RHY_WAY_INSIDE ? "mouth" : "base" },
    { "Hold", "Grip", is_chuck && row->way == RHY_WAY_INSIDE ? "inside" : NULL },
    { "Hold", "Support", row->support != RHY_SUPPORT_NONE ? rhy_support_to_string (row->support) : NULL },
  };

  if (!row->is_own)
    rhyton_panel_enter (RHYTON_PART (self), NULL, "Way of holding", edits, G_N_ELEMENTS (edits));
}

static void
on_row_activated (RhytonComparison *self,
                  GtkListBoxRow    *row)
{
  const int i = gtk_list_box_row_get_index (row);

  if (i < 0)
    return;
  if (self->subject == SUBJECT_LAYS)
    take_lay (self, (RhyLayKind) i);
  else if (self->answer != NULL)
    take_hold (self, g_ptr_array_index (self->answer->rows, i));
}

static void
rhyton_comparison_set_property (GObject      *object,
                                guint         id,
                                const GValue *value,
                                GParamSpec   *pspec)
{
  RhytonComparison *self = RHYTON_COMPARISON (object);

  if (id != PROP_SUBJECT)
    {
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
      return;
    }
  self->subject = g_strcmp0 (g_value_get_string (value), "holds") == 0 ? SUBJECT_HOLDS : SUBJECT_LAYS;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  self->subject == SUBJECT_HOLDS ? "Ways of holding compared" : "Lays compared", -1);
}

static void
rhyton_comparison_dispose (GObject *object)
{
  RhytonComparison *self = RHYTON_COMPARISON (object);

  g_clear_handle_id (&self->rest, g_source_remove);
  g_clear_pointer (&self->worker, rhyton_worker_free);
  g_clear_pointer (&self->answer, free_answer);
  g_clear_pointer (&self->rows, g_ptr_array_unref);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_COMPARISON);
  G_OBJECT_CLASS (rhyton_comparison_parent_class)->dispose (object);
}

static void
rhyton_comparison_class_init (RhytonComparisonClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  object_class->set_property = rhyton_comparison_set_property;
  object_class->dispose = rhyton_comparison_dispose;
  widget_class->map = rhyton_comparison_map;
  widget_class->unmap = rhyton_comparison_unmap;
  part_class->job_changed = rhyton_comparison_job_changed;
  part_class->plan_changed = rhyton_comparison_plan_changed;

  properties[PROP_SUBJECT] = g_param_spec_string ("subject", NULL, NULL, "lays",
                                                  G_PARAM_WRITABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-comparison.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonComparison, list);
  gtk_widget_class_bind_template_callback (widget_class, on_row_activated);
}

static void
rhyton_comparison_init (RhytonComparison *self)
{
  self->worker = rhyton_worker_new (&worker_class, self);
  self->rows = g_ptr_array_new_with_free_func (free_words);
  gtk_widget_init_template (GTK_WIDGET (self));
}
