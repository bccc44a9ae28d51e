/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define RHYTON_TYPE_APPLICATION (rhyton_application_get_type ())
/**
 * RhytonApplication:
 *
 * The program: its "app." actions and keys, one window a job.
 */
G_DECLARE_FINAL_TYPE (RhytonApplication, rhyton_application, RHYTON, APPLICATION, GtkApplication)

RhytonApplication *rhyton_application_new (void);

G_END_DECLS
