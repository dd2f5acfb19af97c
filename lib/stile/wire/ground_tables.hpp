#pragma once
// Kernels of lossy grounds, kept by whoever solves many antennas.

#include <cstddef>
#include <memory>

namespace stile::wire {

namespace detail {
class GroundTable;
struct HalfSpace;
}  // namespace detail

inline constexpr std::size_t most_ground_tables = 1000;

/// What a lossy ground adds to the potentials depends on ground and frequency, not on the antenna. Solvers that are
/// handed the same GroundTables compute it once for each frequency and ground, place by place as it is asked for;
/// results do not depend on what was solved with it before. Any number of threads may use one at the same time.
///
/// It takes up to 0.1 MB for each frequency and ground and keeps the most_ground_tables that were asked for last: a
/// long sweep does not fill the memory.
class GroundTables {
public:
  GroundTables();
  ~GroundTables();
  GroundTables(const GroundTables&) = delete;
  GroundTables& operator=(const GroundTables&) = delete;

  /// Pairs of frequency and ground that it holds.
  std::size_t size() const;

  std::shared_ptr<const detail::GroundTable> table(const detail::HalfSpace& ground);  ///< for the solver

private:
  struct Kept;
  std::unique_ptr<Kept> kept_;
};

}  // namespace stile::wire
