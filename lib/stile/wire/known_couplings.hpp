#pragma once
// What wires do to each other, kept by whoever solves many antennas that have wires in common.

#include <cstddef>
#include <memory>

namespace stile::wire {

namespace detail {
class CouplingStore;
}  // namespace detail

inline constexpr std::size_t most_known_bytes = std::size_t{256} << 20;

/// The couplings of two wires depend on these, on ground and frequency, not on the rest of the antenna nor on any part
/// in it. Solvers that are handed the same KnownCouplings compute those of a pair of wires once, as long as the wires
/// are cut into the same cells at the same places, to the bit; results do not depend on what was solved with it before.
/// Any number of threads may use one at the same time.
///
/// It takes about 80 byte for each pair of cells, up to a limit, and forgets first what was asked for longest ago.
class KnownCouplings {
public:
  explicit KnownCouplings(std::size_t most_bytes = most_known_bytes);
  ~KnownCouplings();
  KnownCouplings(const KnownCouplings&) = delete;
  KnownCouplings& operator=(const KnownCouplings&) = delete;

  std::size_t bytes() const;                                ///< that it holds
  detail::CouplingStore& store() const { return *store_; }  ///< for the solver

private:
  std::unique_ptr<detail::CouplingStore> store_;
};

}  // namespace stile::wire
