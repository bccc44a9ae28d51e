/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include "../../lib/art/wire-reader.h"
#include "intake-caught.h"

#include <setjmp.h>

/* The intake's sources are built here with write() and _exit() under these names
 * (see meson.build): it says its last word and leaves, the fuzzer stays. */
gssize rhy_fuzz_write (int descriptor, const void *data, gsize size);
void rhy_fuzz_exit (int status) G_GNUC_NORETURN;

static GByteArray *said;
static jmp_buf out;

gssize
rhy_fuzz_write (int         descriptor,
                const void *data,
                gsize       size)
{
  (void) descriptor;
  g_byte_array_append (said, data, (guint) size);
  return (gssize) size;
}

void
rhy_fuzz_exit (int status)
{
  longjmp (out, status + 1);
}

void
intake_caught (void   (*run) (gpointer data),
               gpointer data)
{
  said = g_byte_array_new ();
  if (setjmp (out) == 0)
    run (data);
  if (said->len > 0)
    {
      MUST (rhy_wire_is_complete (said->data, said->len));
      g_autoptr (GError) error = NULL;
      g_autoptr (RhyArtwork) artwork = rhy_wire_read (said->data, said->len, &error);
      must_be_told (artwork != NULL, error);
    }
  g_byte_array_unref (said);
  said = NULL;
}
