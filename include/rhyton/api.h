/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

/**
 * RHY_API:
 *
 * Marks what the shared library exports; everything else is hidden.
 */
#define RHY_API __attribute__ ((visibility ("default")))
