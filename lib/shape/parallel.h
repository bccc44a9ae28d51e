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

G_END_DECLS
