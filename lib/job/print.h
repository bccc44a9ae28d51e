/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

/*
 * As g_strdup_printf() and g_set_error(), with a decimal point in every locale: what
 * is said of a job reads as the job file does.
 */
char *rhy_print (const char *format, ...) G_GNUC_PRINTF (1, 2);
/* To a tenth, and never less than it takes: what is raised as told must be high enough. */
double rhy_round_up (double mm);
void rhy_print_error (GError **error, GQuark domain, int code, const char *format, ...) G_GNUC_PRINTF (4, 5);
