/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>
#include <rhyton/bend.h>
#include <rhyton/capacity.h>
#include <rhyton/drawing.h>
#include <rhyton/drive.h>
#include <rhyton/error.h>
#include <rhyton/intake.h>
#include <rhyton/job.h>
#include <rhyton/lay.h>
#include <rhyton/light.h>
#include <rhyton/map.h>
#include <rhyton/path.h>
#include <rhyton/plan.h>
#include <rhyton/proof.h>
#include <rhyton/readings.h>
#include <rhyton/scene.h>
#include <rhyton/smooth.h>
#include <rhyton/space.h>
#include <rhyton/stretch.h>
#include <rhyton/uncertainty.h>
#include <rhyton/units.h>
#include <rhyton/unroll.h>
#include <rhyton/verdict.h>
#include <rhyton/wall.h>
#include <rhyton/zone.h>
