#pragma once
// A network into a load whose data may or may not reach the harmonics.

#include <span>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>

namespace stile::load {

/// Evaluates a ladder into a load, one evaluation a frequency.
///
/// Harmonics are given at those frequencies whose double (triple) the load has data for, and nothing elsewhere: a
/// constant load is taken to be the same there.
///
/// @param frequency_hz  > 0, any order; empty gives nothing
/// @throws DomainError  a frequency outside the load's data; as network::evaluate_sweep
/// Accuracy: that of network::evaluate, to the last bit.
std::vector<network::Evaluation> evaluate_into_load(const network::Ladder& ladder, const network::Source& source,
                                                    const Load& load, std::span<const double> frequency_hz);

}  // namespace stile::load
