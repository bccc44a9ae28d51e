/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Every dialog that newer GTK does otherwise, in one place. */

typedef enum
{
  RHYTON_CHOICE_JOB,
  RHYTON_CHOICE_ARTWORK,
  RHYTON_CHOICE_DRAWING,        /* SVG, PDF or PNG, to write */
  RHYTON_CHOICE_TABLE,          /* CSV */
  RHYTON_CHOICE_MACHINE,
  RHYTON_CHOICE_FOLDER,
} RhytonChoice;

/** RhytonFileChosen: @file: (transfer none) (nullable): %NULL: none. */
typedef void (*RhytonFileChosen) (GFile *file, gpointer data);

/**
 * rhyton_dialogs_choose_file:
 * @name: (nullable): a name to propose; then the file is to be written
 * @folder: (nullable): where to begin
 * @data: (transfer none): stays alive as long as @parent, which keeps the dialog
 */
void rhyton_dialogs_choose_file (GtkWindow        *parent,
                                 const char       *title,
                                 RhytonChoice      choice,
                                 const char       *name,
                                 const char       *folder,
                                 RhytonFileChosen  chosen,
                                 gpointer          data);

/** RhytonAnswered: @answer: the number of the button, -1 for none of them. */
typedef void (*RhytonAnswered) (int answer, gpointer data);

/**
 * rhyton_dialogs_ask:
 * @buttons: %NULL-terminated, at most four; the last is proposed
 * @answered: (nullable)
 */
void rhyton_dialogs_ask (GtkWindow          *parent,
                         const char         *title,
                         const char         *body,
                         const char *const  *buttons,
                         RhytonAnswered      answered,
                         gpointer            data);

/** rhyton_dialogs_tell: one thing to read and close. */
void rhyton_dialogs_tell (GtkWindow *parent, const char *title, const char *body);

G_END_DECLS
