#pragma once
// What a ground adds to the potentials of a cell: images at the mirror point plus a smooth rest. Internal to the room.

#include <memory>
#include <optional>

#include <stile/wire/detail/ground_table.hpp>
#include <stile/wire/ground.hpp>
#include <stile/wire/ground_tables.hpp>

namespace stile::wire::detail {

struct GroundModel {
  bool present = false;                   ///< false: free space
  cdouble image_xx, image_zz, image_phi;  ///< factors of exp(-jkR)/R at the mirror point
  cdouble permittivity = 1.0;             ///< complex, of a lossy ground
  cdouble contrast;                       ///< factor of -rho/(R (R + Z)) in p; 0: no coupling of that kind
  std::shared_ptr<const GroundTable> table;
  std::optional<cdouble> depth_m;  ///< of the complex image of horizontal currents
  double k0_rad_m = 0.0;
  double index = 1.0;  ///< size of the refractive index: waves are that much shorter in the ground
  /// What lies on the soil itself, a sole, takes the smooth rest from here: on the surface it is not smooth.
  /// Half and twice of it move |Z| of a person with a hand on the set by less than 2e-5.
  double on_soil_m = 0.0005;

  bool has_rest() const { return table != nullptr || depth_m.has_value(); }
  /// The smooth rest, without the static part of p, at `count` places.
  void smooth_rest(const double* rho_m, const double* z_m, std::size_t count, KernelParts* out) const;
  /// The rest with the static part of p, and its slopes. @param rho_m  >= 0; rho_m and z_m not both 0
  KernelSlopes rest_slopes(double rho_m, double z_m) const;
};

GroundModel make_ground_model(const Ground& ground, double frequency_hz, GroundMethod method, GroundTables& tables);

}  // namespace stile::wire::detail
