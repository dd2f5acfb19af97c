#pragma once
// Coils as they were computed, one for all arrangements and plans that wind them. Internal to the room.

#include <deque>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <tuple>

#include <stile/plan/detail/switched_coil.hpp>
#include <stile/plan/plan.hpp>

namespace stile::plan {

class WoundCoils {
public:
  /// The model of an arrangement's coil, which states its turns. Kept as long as this is.
  const coil::CoilModel& model(const station::Arrangement& arrangement);

  /// That coil on a band, computed at detail::band_frequencies.
  const detail::CoilTaps& taps(const station::Arrangement& arrangement, const station::Band& band, bool draft);

private:
  using OfBand = std::tuple<std::string, double, double, double, double, double, bool>;
  struct Taps {
    std::once_flag once;
    std::optional<detail::CoilTaps> taps;
  };
  struct Coil {
    explicit Coil(station::Arrangement of) : arrangement(std::move(of)) {}
    station::Arrangement arrangement;
    std::once_flag once;
    std::optional<coil::CoilModel> model;
    std::map<OfBand, std::unique_ptr<Taps>> bands;
  };
  Coil& known(const station::Arrangement& arrangement);

  std::mutex asking_;
  std::deque<Coil> coils_;
};

}  // namespace stile::plan
