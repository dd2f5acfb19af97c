// The file of a tuner, of banks or of parts that turn; one of few states is set to a load.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/station/any_tuner.hpp>
#include <stile/tuner/tuner.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::variant<tuner::Tuner, tuner::ContinuousTuner> any;
  const bool read =
      fuzz::readable(data, size, [&](std::string_view text) { any = station::read_any_tuner(text, "t.toml"); });
  const auto* relays = std::get_if<tuner::Tuner>(&any);
  if (!read || relays == nullptr || tuner::state_count(*relays) > 1u << 12) return 0;
  try {
    const tuner::TunerChoice choice =
        tuner::choose_state(*relays, tuner::tabulate(*relays, 7.1e6), 50.0, {20.0, -300.0}, 2.0);
    fuzz::expect(choice.least_swr.swr >= 1.0, "an SWR below 1");
    fuzz::expect(!std::isnan(choice.most_delivered.dissipation_db), "a state without a loss");
  } catch (const DomainError&) {
  }
  return 0;
}
