/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"
#include "rhyton-stage.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_WINDOW (rhyton_window_get_type ())
/**
 * RhytonWindow:
 *
 * One job in a window: the steps at the left with the panel of the current one,
 * the three views, the verdict below. Everything it can do is a "win." action.
 */
G_DECLARE_FINAL_TYPE (RhytonWindow, rhyton_window, RHYTON, WINDOW, GtkApplicationWindow)

GtkWidget *rhyton_window_new (GtkApplication *application);

RhytonDocument *rhyton_window_get_document (RhytonWindow *self);
RhytonStage *rhyton_window_get_stage (RhytonWindow *self);
/** rhyton_window_get_verdict: Returns: what the verdict strip says. */
const char *rhyton_window_get_verdict (RhytonWindow *self);
/** rhyton_window_is_pristine: Returns: whether it holds a new job that nobody has touched. */
gboolean rhyton_window_is_pristine (RhytonWindow *self);
/** rhyton_window_is_busy: Returns: whether anything shown is on its way. */
gboolean rhyton_window_is_busy (RhytonWindow *self);

/** rhyton_window_open_job: on failure tells why and stays as it was. */
gboolean rhyton_window_open_job (RhytonWindow *self, GFile *file);
/** rhyton_window_open_demo: the demo job as a new one, so that saving asks where to. */
gboolean rhyton_window_open_demo (RhytonWindow *self);
/** rhyton_window_restore: unsaved work that outlived the program. */
gboolean rhyton_window_restore (RhytonWindow *self, const char *recovery);
/** rhyton_window_take_artwork: what a dropped or chosen drawing does. */
gboolean rhyton_window_take_artwork (RhytonWindow *self, GFile *file);
/** rhyton_window_save_to: saves the job as @file. */
gboolean rhyton_window_save_to (RhytonWindow *self, GFile *file);

G_END_DECLS
