// A station file; a small one whose loads are no wires is planned as stated.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/files_named.hpp>
#include <stile/station/station.hpp>

using namespace stile;

STILE_FILE_MUTATOR

namespace {

/// Few enough things to plan, and no antenna to be solved.
bool small(const station::Station& s) {
  if (s.bands.size() > 2 || s.conditions.size() > 3 || s.arrangements.size() > 3) return false;
  for (const station::Antenna& a : s.antennas) {
    for (const station::AntennaLoad& l : a.loads)
      if (l.wires) return false;
  }
  return true;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  station::Station s;
  const bool read =
      fuzz::readable(data, size, [&](std::string_view text) { s = station::read_station(text, "s.toml", "/nowhere"); });
  if (!read || !small(s)) return 0;
  try {
    plan::AsStated how;
    how.few_points = true;
    const plan::Plan plan = plan::plan_as_stated(s, how, 1);
    fuzz::expect(plan.bands.size() == s.bands.size(), "a band without an answer");
    for (const plan::BandResult& band : plan.bands) {
      fuzz::expect(band.arrangements.size() == s.arrangements.size(), "an arrangement without an answer");
      for (const plan::ArrangementResult& a : band.arrangements)
        fuzz::expect(!std::isnan(a.counted_db) && a.counted_db >= -1e-9, "more power than there is, or none told");
    }
  } catch (const DomainError&) {  // what only the computation can see
  }
  return 0;
}
