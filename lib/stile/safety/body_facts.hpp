#pragma once
// Whose body it is, who touches, and how thin the air is.

namespace stile::safety {

struct BodyFacts {
  double mass_kg = 75.0;    ///< of the person, > 0; common practice
  double hand_ohm = 300.0;  ///< of a finger's contact, >= 0; assumed, because nothing measured was found
  double altitude_m = 0.0;  ///< -500..11000; for the voltages at which air breaks down
};

}  // namespace stile::safety
