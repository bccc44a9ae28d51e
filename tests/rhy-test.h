/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <glib.h>

/* cmocka's assert_float_equal() narrows to float; this one keeps doubles, fails
 * on NaN, and prints what was found. */
#define assert_near(found, wanted, tolerance) \
  rhy_assert_near ((found), (wanted), (tolerance), #found, __FILE__, __LINE__)

static inline void
rhy_assert_near (double found, double wanted, double tolerance,
                 const char *what, const char *file, int line)
{
  if (fabs (found - wanted) <= tolerance)
    return;
  print_error ("%s: found %.17g, wanted %.17g, off by %.3g, allowed %.3g\n",
               what, found, wanted, found - wanted, tolerance);
  _fail (file, line);
}

/* cmocka says "not ok # SKIP", which meson takes for a failure. The line below is
 * counted as skipped by tests/tally.py. For a test function's own body. */
#undef skip
#define skip() \
  do { \
    print_message ("# cannot be tested here: %s\n", __func__); \
    return; \
  } while (0)

/* A GError that must be there, with its domain and code; freed and cleared. */
#define assert_error(error, want_domain, want_code) \
  do { \
    assert_non_null (error); \
    if ((error)->domain != (want_domain) || (error)->code != (int) (want_code)) \
      print_error ("unexpected error: %s\n", (error)->message); \
    assert_int_equal ((error)->domain, (want_domain)); \
    assert_int_equal ((error)->code, (want_code)); \
    g_clear_error (&(error)); \
  } while (0)

#define assert_no_error(error) \
  do { \
    if ((error) != NULL) \
      { \
        print_error ("unexpected error: %s\n", (error)->message); \
        g_clear_error (&(error)); \
        _fail (__FILE__, __LINE__); \
      } \
  } while (0)
