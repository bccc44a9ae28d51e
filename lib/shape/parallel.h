/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Does piece @i of the work, 0 <= i < n. Pieces must not write to the same place. */
typedef void (*RhyPiece) (guint i, gpointer data);

/*
 * All @n pieces, by up to @threads at once (0: as many as the machine has processors),
 * the caller's among them; back when all are done. Pieces are taken one by one by
 * whoever is free, so what they write must not depend on who does what.
 */
void rhy_parallel (guint n, guint threads, RhyPiece piece, gpointer data);

/* Starts a helper ahead of its first work. */
void rhy_parallel_get_ready (void);

/* Says that the calling thread is one of many at work already, or no longer: rhy_parallel() adds none there. So
 * it is in every piece that it does with others. */
void rhy_parallel_stay_alone (gboolean stay);

G_END_DECLS
