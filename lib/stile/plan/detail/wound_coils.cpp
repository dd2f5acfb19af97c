#include <stile/plan/detail/wound_coils.hpp>

#include <algorithm>

#include <stile/plan/detail/settings.hpp>
#include <stile/station/wound.hpp>

namespace stile::plan {

std::shared_ptr<WoundCoils> wound_coils() { return std::make_shared<WoundCoils>(); }

WoundCoils::Coil& WoundCoils::known(const station::Arrangement& arrangement) {
  const std::lock_guard<std::mutex> lock(asking_);
  const auto found = std::find_if(coils_.begin(), coils_.end(),
                                  [&](const Coil& c) { return detail::same_coil(c.arrangement, arrangement); });
  return found != coils_.end() ? *found : coils_.emplace_back(arrangement);
}

const coil::CoilModel& WoundCoils::model(const station::Arrangement& arrangement) {
  Coil& coil = known(arrangement);
  std::call_once(coil.once,
                 [&] { coil.model = coil::coil_model(station::wound(arrangement.coil, arrangement.coil.turns)); });
  return *coil.model;
}

const detail::CoilTaps& WoundCoils::taps(const station::Arrangement& arrangement, const station::Band& band,
                                         bool draft) {
  const coil::CoilModel& wound = model(arrangement);
  Coil& coil = known(arrangement);
  Taps* place = nullptr;
  {
    const std::lock_guard<std::mutex> lock(asking_);
    std::unique_ptr<Taps>& there =
        coil.bands[{band.name, band.low_hz, band.high_hz, band.use_low_hz, band.use_high_hz, band.design_hz, draft}];
    if (!there) there = std::make_unique<Taps>();
    place = there.get();
  }
  std::call_once(place->once,
                 [&] { place->taps.emplace(arrangement.coil, wound, band, detail::band_frequencies(band, draft)); });
  return *place->taps;
}

}  // namespace stile::plan
