/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define RHYTON_TYPE_HOWTO (rhyton_howto_get_type ())
/**
 * RhytonHowto:
 *
 * A small button beside a number that the maker enters, and what it opens: how to
 * measure that number, in a drawing and a few sentences. Property "topic": which.
 */
G_DECLARE_FINAL_TYPE (RhytonHowto, rhyton_howto, RHYTON, HOWTO, GtkWidget)

GtkWidget *rhyton_howto_new (const char *topic);
/** rhyton_howto_set_topic: @topic: one of rhyton_howto_get_topics(). */
void rhyton_howto_set_topic (RhytonHowto *self, const char *topic);
const char *rhyton_howto_get_topic (RhytonHowto *self);
/** rhyton_howto_is_open: Returns: whether its drawing is on the screen. */
gboolean rhyton_howto_is_open (RhytonHowto *self);
/** rhyton_howto_get_popover: Returns: (nullable) (transfer none): what its drawing is on; NULL before it was first open. */
GtkWidget *rhyton_howto_get_popover (RhytonHowto *self);
/** rhyton_howto_get_topics: Returns: (transfer container): all there are. */
const char **rhyton_howto_get_topics (void);

G_END_DECLS
