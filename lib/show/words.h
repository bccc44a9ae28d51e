/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "config.h"

#include <locale.h>

#include <glib.h>
#include <glib/gi18n-lib.h>

/*
 * What stands on printed papers (setup sheet, paper pattern, contact sheet, test pieces' sheets) is translated: _("...") where
 * it is said, N_("...") in tables. Messages, findings, JSON and drawings for machines are not:
 * other programs read them. Numbers keep their decimal point, as in the job file.
 *
 * So it is only while a paper is made, and only in the thread that makes it, that messages are in
 * the user's language; what makes no paper never looks for a catalogue.
 */
typedef struct { locale_t before, own; } RhyWords;

/* g_auto (RhyWords) words = rhy_words_begin (); before the first of them, until the end of the block. */
RhyWords rhy_words_begin (void);
void rhy_words_end (RhyWords *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (RhyWords, rhy_words_end)
