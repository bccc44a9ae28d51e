/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "burn.h"

#include <math.h>

/* Look down on the bed: x to the right, y up the page, z towards you. The vessel
 * lies along m, base to mouth, its top line under the beam, where the wall's
 * outward normal is z. Angle grows counter-clockwise for somebody who looks down
 * the vessel's axis from the mouth, that is by the right-hand rule about m, so at
 * the top line it grows towards m x z:
 *
 *   (m_x, m_y, 0) x (0, 0, 1) = (m_y, -m_x, 0).
 *
 * A flat sheet would have been burnt at the drawing's own place. Here the work
 * turns instead of the beam moving across, so what the drawing has on that side of
 * the mark ends on that side of the mark on the wall: one turn for every T mm.
 */
RhyBurn
rhy_burn_for_plan (const RhyPlan *plan)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  const double sign = data->machine.mouth == RHY_MOUTH_PLUS ? 1.0 : -1.0;
  RhyBurn burn = {
    .wall = rhy_plan_get_wall (plan),
    .mark = numbers->anchor,
    .travel_per_turn_mm = numbers->travel_per_turn_mm,
    .tilt_rad = numbers->tilt_rad,
    .hand = data->machine.turn_reversed ? -1.0 : 1.0,
  };

  burn.along[0] = data->machine.axis == RHY_AXIS_X ? sign : 0.0;
  burn.along[1] = data->machine.axis == RHY_AXIS_Y ? sign : 0.0;
  burn.across[0] = burn.along[1];
  burn.across[1] = -burn.along[0];
  return burn;
}

/* How far along the bed a point of the tilted top line lies. The side view's
 * point (z, r) is turned by the tilt; no integral is needed. */
static double
bed_distance (const RhyBurn *self,
              double         s)
{
  const RhyRing ring = rhy_wall_at (self->wall, s);
  return ring.z_mm * cos (self->tilt_rad) + ring.r_mm * sin (self->tilt_rad);
}

/* The slant under the beam when it stands @reach mm from the mark: the distance
 * grows along the wall (else no drive would exist), so bisection finds it. */
static gboolean
find_slant (const RhyBurn *self,
            double         reach,
            double        *s)
{
  const double target = bed_distance (self, self->mark.s) + reach;
  double low = 0.0;
  double high = rhy_wall_get_length (self->wall);
  if (target < bed_distance (self, low) - 1e-6 || target > bed_distance (self, high) + 1e-6)
    return FALSE;
  for (int i = 0; i < 60 && high - low > 1e-10; i++)
    {
      const double middle = 0.5 * (low + high);
      if (bed_distance (self, middle) < target)
        low = middle;
      else
        high = middle;
    }
  *s = 0.5 * (low + high);
  return TRUE;
}

void
rhy_burn_points (const RhyBurn *self,
                 gsize          n,
                 const double  *x,
                 const double  *y,
                 double        *s,
                 double        *angle,
                 guint8        *valid)
{
  for (gsize i = 0; i < n; i++)
    {
      const double up = -y[i];
      const double reach = x[i] * self->along[0] + up * self->along[1];
      const double across = x[i] * self->across[0] + up * self->across[1];
      valid[i] = (guint8) find_slant (self, reach, &s[i]);
      angle[i] = self->mark.angle + self->hand * 2.0 * G_PI * across / self->travel_per_turn_mm;
    }
}
