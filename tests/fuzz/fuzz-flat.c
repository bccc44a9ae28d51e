/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include "../../app/intake/flat.h"
#include "intake-caught.h"

/* The flat drawing that cairo writes, as the intake process reads it back. */

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  return 0;
}

static void
read_back (gpointer data)
{
  GBytes *bytes = data;
  Wire wire;
  wire_begin (&wire);
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  g_autoptr (GError) error = NULL;
  Tree *tree = tree_new ();
  const gboolean good = tree_feed (tree, text, size, &error) && tree_end (tree, &error);
  MUST (good == (error == NULL));
  if (!good)
    {
      tree_free (tree);
      g_byte_array_unref (wire.pending);
      return;
    }
  gboolean found_picture;
  wire_size (&wire, 100.0, 100.0, RHY_SIZE_PHYSICAL);
  flat_send (&wire, tree, 16.0, 378.0, 378.0, &found_picture);
  wire_end (&wire);
  g_byte_array_unref (wire.pending);
  tree_free (tree);
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  if (size == 0)
    return 0;
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);
  intake_caught (read_back, bytes);
  return 0;
}
