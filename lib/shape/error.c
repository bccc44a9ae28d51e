/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/error.h>

G_DEFINE_QUARK (rhy-error-quark, rhy_error)
