/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-machine-chooser.h"

#include "rhyton-dialogs.h"
#include "rhyton-making.h"

#define SHORT_CHARS 30

/* The list's first lines; then the machines that are known. */
enum { ROW_NONE, ROW_INLINE, N_ROWS };

struct _RhytonMachineChooser
{
  RhytonPart     parent_instance;

  /* Template children */
  GtkWidget     *box;
  GtkDropDown   *list;
  GtkWidget     *file;
  GtkWidget     *complaint;

  /* Owned */
  GPtrArray     *machines;      /* of RhyMachine, those that can be read */
  GtkStringList *names;         /* of the list; the last may be a machine that only this job knows */
  gboolean       refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonMachineChooser, rhyton_machine_chooser, RHYTON_TYPE_PART)

static void
complain (RhytonMachineChooser *self,
          const char           *text)
{
  gtk_label_set_label (GTK_LABEL (self->complaint), text != NULL ? text : "");
  gtk_widget_set_visible (self->complaint, text != NULL);
}

static const RhyMachine *
machine_at (const RhytonMachineChooser *self,
            guint                       row)
{
  return row >= N_ROWS && row - N_ROWS < self->machines->len ? self->machines->pdata[row - N_ROWS] : NULL;
}

/* A list is as wide as its longest line, and a panel as wide as its list. */
static void
append_short (GtkStringList *names,
              const char    *name)
{
  if (g_utf8_strlen (name, -1) <= SHORT_CHARS)
    {
      gtk_string_list_append (names, name);
      return;
    }
  g_autofree char *begin = g_utf8_substring (name, 0, SHORT_CHARS - 1);
  g_autofree char *shortened = g_strconcat (g_strchomp (begin), "\u2026", NULL);
  gtk_string_list_append (names, shortened);
}

static void
fill_list (RhytonMachineChooser *self)
{
  g_autoptr (GtkStringList) names = gtk_string_list_new (NULL);
  g_autoptr (GPtrArray) all = rhy_machines_list (NULL, NULL);

  gtk_string_list_append (names, "None: usual values");
  gtk_string_list_append (names, "As described here");
  for (guint i = 0; all != NULL && i < all->len; i++)
    {
      RhyMachine *machine = all->pdata[i];
      if (machine->job != NULL)
        append_short (names, machine->name);
    }
  self->machines = all != NULL ? g_steal_pointer (&all) : g_ptr_array_new ();
  for (guint i = self->machines->len; i > 0; i--)
    if (((RhyMachine *) self->machines->pdata[i - 1])->job == NULL)
      g_ptr_array_remove_index (self->machines, i - 1);
  gtk_drop_down_set_model (self->list, G_LIST_MODEL (names));
  self->names = g_steal_pointer (&names);
}

/* A machine file of the job's own stands at the end, or the list would say "none". */
static void
name_own_machine (RhytonMachineChooser *self,
                  const char           *file)
{
  const guint n = N_ROWS + self->machines->len;

  gtk_string_list_splice (self->names, n, g_list_model_get_n_items (G_LIST_MODEL (self->names)) - n, NULL);
  if (file == NULL)
    return;
  g_autofree char *name = g_path_get_basename (file);
  append_short (self->names, name);
}

static gboolean
is_same_file (const char *a,
              const char *b)
{
  g_autoptr (GFile) first = g_file_new_for_path (a);
  g_autoptr (GFile) second = g_file_new_for_path (b);
  return g_file_equal (first, second);
}

static guint
row_of (RhytonMachineChooser *self,
        RhyJob               *job)
{
  const RhyJobData *data = rhy_job_get_data (job);

  if (data->machine.file == NULL)
    return data->machine.given ? ROW_INLINE : ROW_NONE;
  g_autofree char *path = rhy_job_resolve (job, data->machine.file);
  for (guint i = 0; i < self->machines->len; i++)
    if (is_same_file (((RhyMachine *) self->machines->pdata[i])->path, path))
      return N_ROWS + i;
  return N_ROWS + self->machines->len;
}

static void
rhyton_machine_chooser_job_changed (RhytonPart *part)
{
  RhytonMachineChooser *self = RHYTON_MACHINE_CHOOSER (part);
  RhyJob *job = rhyton_document_get_job (rhyton_part_get_document (part));
  const char *file = rhy_job_get_data (job)->machine.file;

  self->refreshing = TRUE;
  const guint row = row_of (self, job);
  name_own_machine (self, row == N_ROWS + self->machines->len ? file : NULL);
  gtk_drop_down_set_selected (self->list, row);
  self->refreshing = FALSE;
  g_autofree char *name = file != NULL ? g_path_get_basename (file) : g_strdup ("");
  gtk_label_set_label (GTK_LABEL (self->file), name);
  gtk_widget_set_tooltip_text (self->file, file);
  /* A machine of the job's own is listed by its file already. */
  gtk_widget_set_visible (self->file, file != NULL && row < N_ROWS + self->machines->len);
}

/* Another machine takes the place of all that was said of the one before. */
static void
take_file (RhytonMachineChooser *self,
           const char           *path)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) bare = rhy_job_without_group (rhyton_document_get_job (document), "Machine", &error);
  g_autofree char *name = rhyton_document_name_file (document, path);
  RhyJob *job = bare != NULL ? rhy_job_with_text (bare, "Machine", "File", name, &error) : NULL;

  complain (self, job == NULL ? error->message : NULL);
  if (job != NULL)
    rhyton_document_replace (document, "Machine", job);
  else
    rhyton_machine_chooser_job_changed (RHYTON_PART (self));
}

static void
take_none (RhytonMachineChooser *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  RhyJob *job = rhy_job_without_group (rhyton_document_get_job (document), "Machine", NULL);

  complain (self, NULL);
  if (job != NULL)
    rhyton_document_replace (document, "Machine", job);
}

/* The figures of the file, now the job's own, to be changed one by one. */
static void
take_over (RhytonMachineChooser *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  RhyJob *job = rhyton_document_get_job (document);
  const char *file = rhy_job_get_data (job)->machine.file;
  g_autofree char *path = file != NULL ? rhy_job_resolve (job, file) : NULL;
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autoptr (GKeyFile) own = g_key_file_new ();
  g_autofree char *text = rhy_job_to_data (job, NULL);
  g_autoptr (GError) error = NULL;

  complain (self, NULL);
  g_key_file_load_from_data (own, text, (gsize) -1, G_KEY_FILE_NONE, NULL);
  if (path == NULL)
    {
      /* Something of its own, for the group to be there. */
      g_autoptr (RhyJob) described = rhy_job_with (job, "Machine", "TurnReversed", "false", &error);
      if (described != NULL)
        rhyton_document_replace (document, "Machine", g_steal_pointer (&described));
      return;
    }
  g_autoptr (RhyJob) now = rhy_job_with (job, "Machine", "File", NULL, &error);
  g_auto (GStrv) names = now != NULL && g_key_file_load_from_file (keys, path, G_KEY_FILE_NONE, &error)
                           ? g_key_file_get_keys (keys, "Machine", NULL, &error) : NULL;
  for (gsize i = 0; names != NULL && names[i] != NULL; i++)
    {
      g_autofree char *value = g_key_file_get_value (keys, "Machine", names[i], NULL);
      /* What the job said beside the file has the last word. */
      RhyJob *next = g_key_file_has_key (own, "Machine", names[i], NULL) ? NULL
                     : rhy_job_with (now, "Machine", names[i], value, NULL);
      if (next == NULL)
        continue;
      rhy_job_unref (now);
      now = next;
    }
  if (names == NULL)
    complain (self, error->message);
  else
    rhyton_document_replace (document, "Machine", g_steal_pointer (&now));
}

static void
on_choice (GtkDropDown          *list,
           GParamSpec           *pspec,
           RhytonMachineChooser *self)
{
  const guint row = gtk_drop_down_get_selected (list);
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (self->refreshing || document == NULL || row == GTK_INVALID_LIST_POSITION
      || row == row_of (self, rhyton_document_get_job (document)))
    return;
  if (row == ROW_NONE)
    take_none (self);
  else if (row == ROW_INLINE)
    take_over (self);
  else if (machine_at (self, row) != NULL)
    take_file (self, machine_at (self, row)->path);
}

void
rhyton_machine_chooser_take (RhytonMachineChooser *self,
                             GFile                *file)
{
  g_return_if_fail (RHYTON_IS_MACHINE_CHOOSER (self) && G_IS_FILE (file));

  g_autofree char *path = g_file_get_path (file);
  if (path != NULL)
    take_file (self, path);
  else
    complain (self, "This file is not on a disk of this machine. Copy it here first.");
}

static void
file_chosen (GFile    *file,
             gpointer  data)
{
  g_autoptr (RhytonMachineChooser) self = data;
  if (file != NULL)
    rhyton_machine_chooser_take (self, file);
}

static void
on_open (RhytonMachineChooser *self)
{
  g_autofree char *folder = rhyton_making_folder (rhyton_part_get_document (RHYTON_PART (self)));
  rhyton_dialogs_choose_file (rhyton_making_window (RHYTON_PART (self)), "Open a Machine File", RHYTON_CHOICE_MACHINE, NULL, folder,
                              file_chosen, g_object_ref (self));
}

static void
rhyton_machine_chooser_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_MACHINE_CHOOSER);
  G_OBJECT_CLASS (rhyton_machine_chooser_parent_class)->dispose (object);
}

static void
rhyton_machine_chooser_finalize (GObject *object)
{
  g_ptr_array_unref (RHYTON_MACHINE_CHOOSER (object)->machines);
  g_clear_object (&RHYTON_MACHINE_CHOOSER (object)->names);
  G_OBJECT_CLASS (rhyton_machine_chooser_parent_class)->finalize (object);
}

static void
rhyton_machine_chooser_class_init (RhytonMachineChooserClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_machine_chooser_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_machine_chooser_finalize;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_machine_chooser_job_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-machine-chooser.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonMachineChooser, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonMachineChooser, list);
  gtk_widget_class_bind_template_child (widget_class, RhytonMachineChooser, file);
  gtk_widget_class_bind_template_child (widget_class, RhytonMachineChooser, complaint);
  gtk_widget_class_bind_template_callback (widget_class, on_choice);
  gtk_widget_class_bind_template_callback (widget_class, on_open);
}

static void
rhyton_machine_chooser_init (RhytonMachineChooser *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->refreshing = TRUE;
  fill_list (self);
  self->refreshing = FALSE;
}
