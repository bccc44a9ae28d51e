/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

/* Runs a part of the intake process in this one: its end is caught, and what it
 * wrote goes through the reader, which must not stumble over it. */
void intake_caught (void (*run) (gpointer data), gpointer data);
