/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include "../../app/intake/render.h"
#include "intake-caught.h"

/* A drawing from strangers, through librsvg and back into the library, all in one
 * process. librsvg itself may well fall over here: that is why it has a process of
 * its own. Only what lies in our own code is a find. */

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  return 0;
}

static void
take_in (gpointer data)
{
  Wire wire;
  wire_begin (&wire);
  render_send (&wire, g_bytes_new (g_bytes_get_data (data, NULL), g_bytes_get_size (data)), NULL);
  g_byte_array_unref (wire.pending);
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  /* An empty file is refused before it comes here. */
  if (size == 0)
    return 0;
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);
  intake_caught (take_in, bytes);
  return 0;
}
