/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-proof-check.h"

#include "rhyton-dialogs.h"
#include "rhyton-making.h"

struct _RhytonProofCheck
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkWidget  *answer;
  GtkWidget  *icon;
  GtkWidget  *text;

  guint       asked;            /* how often: only the answer to the newest question counts */
};

G_DEFINE_FINAL_TYPE (RhytonProofCheck, rhyton_proof_check, RHYTON_TYPE_PART)

typedef struct
{
  char     *text;
  gboolean  good;
} Answer;

typedef struct
{
  RhytonProofCheck *check;
  guint             asked;
} Question;

static void
free_answer (gpointer data)
{
  Answer *answer = data;
  g_free (answer->text);
  g_free (answer);
}

static void
say (RhytonProofCheck *self,
     const char       *icon,
     const char       *style,
     const char       *text)
{
  static const char *const styles[] = { "success", "error", "dim-label" };

  for (gsize i = 0; i < G_N_ELEMENTS (styles); i++)
    gtk_widget_remove_css_class (self->icon, styles[i]);
  gtk_widget_add_css_class (self->icon, style);
  gtk_image_set_from_icon_name (GTK_IMAGE (self->icon), icon);
  gtk_label_set_label (GTK_LABEL (self->text), text);
  gtk_widget_set_visible (self->answer, *text != '\0');
}

/* In a thread. */
static gpointer
prove (RhyJob        *job,
       RhyPlan       *plan,
       gpointer       data,
       GCancellable  *cancellable,
       GError       **error)
{
  const char *path = data;
  g_autofree char *name = g_path_get_basename (path);
  RhyProof proof;

  if (!rhy_proof_file (plan, path, &proof, error) || g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  g_autofree char *line = rhy_proof_describe (&proof, plan);
  Answer *answer = g_new (Answer, 1);
  *answer = (Answer) { g_strdup_printf ("%s: %s", name, line), rhy_proof_is_good (&proof, plan) };
  return answer;
}

static void
proved (GObject      *source,
        GAsyncResult *result,
        gpointer      data)
{
  g_autofree Question *question = data;
  g_autoptr (RhytonProofCheck) self = question->check;
  g_autoptr (GError) error = NULL;
  Answer *answer = rhyton_document_run_finish (RHYTON_DOCUMENT (source), result, &error);

  /* Its window may have gone meanwhile. */
  if (self->box != NULL && question->asked == self->asked)
    {
      if (answer != NULL)
        say (self, answer->good ? "emblem-ok-symbolic" : "dialog-error-symbolic", answer->good ? "success" : "error", answer->text);
      else if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        say (self, "content-loading-symbolic", "dim-label", "Stopped.");
      else
        say (self, "dialog-error-symbolic", "error", error->message);
    }
  g_clear_pointer (&answer, free_answer);
}

void
rhyton_proof_check_read (RhytonProofCheck *self,
                         GFile            *file)
{
  g_return_if_fail (RHYTON_IS_PROOF_CHECK (self) && G_IS_FILE (file));

  char *path = g_file_get_path (file);
  self->asked++;
  if (path == NULL)
    {
      say (self, "dialog-error-symbolic", "error", "This drawing is not on a disk of this machine.");
      return;
    }
  Question *question = g_new (Question, 1);
  *question = (Question) { g_object_ref (self), self->asked };
  say (self, "content-loading-symbolic", "dim-label", "Measuring\u2026");
  rhyton_document_run (rhyton_part_get_document (RHYTON_PART (self)), prove, TRUE, path, g_free, free_answer, proved, question);
}

static void
chosen (GFile    *file,
        gpointer  data)
{
  g_autoptr (RhytonProofCheck) self = data;
  if (file != NULL)
    rhyton_proof_check_read (self, file);
}

static void
on_choose (RhytonProofCheck *self)
{
  g_autofree char *folder = rhyton_making_folder (rhyton_part_get_document (RHYTON_PART (self)));
  rhyton_dialogs_choose_file (rhyton_making_window (RHYTON_PART (self)), "Open a Bed Drawing", RHYTON_CHOICE_ARTWORK, NULL, folder,
                              chosen, g_object_ref (self));
}

/* An answer is about one job only. */
static void
rhyton_proof_check_job_changed (RhytonPart *part)
{
  RhytonProofCheck *self = RHYTON_PROOF_CHECK (part);
  self->asked++;
  say (self, "content-loading-symbolic", "dim-label", "");
}

static void
rhyton_proof_check_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PROOF_CHECK);
  G_OBJECT_CLASS (rhyton_proof_check_parent_class)->dispose (object);
}

static void
rhyton_proof_check_class_init (RhytonProofCheckClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_proof_check_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_proof_check_job_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-proof-check.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonProofCheck, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonProofCheck, answer);
  gtk_widget_class_bind_template_child (widget_class, RhytonProofCheck, icon);
  gtk_widget_class_bind_template_child (widget_class, RhytonProofCheck, text);
  gtk_widget_class_bind_template_callback (widget_class, on_choose);
}

static void
rhyton_proof_check_init (RhytonProofCheck *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
