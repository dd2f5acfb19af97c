#include "cli/part.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/core.h>

#include "cli/plausible.hpp"
#include "cli/table.hpp"

namespace stile::tools {

const char* const part_notes =
    R"(Parts (keys in any order after the first; without Q, ESR and tan a part has no loss):
  L=1.2uH[,Q=200[,Q_at=7MHz]][,ESR=0.1ohm][,SRF=25MHz | ,Cself=1pF]
  C=300pF[,Q=1000[,Q_at=7MHz]][,tan=0.001][,ESR=0.1ohm]
  R=50ohm     Z=12-230j
  Q, 0.1 to 1e6, holds at every frequency, or with Q_at there, its resistance growing with the root of frequency;
  ESR, 0 or 1e-6 ohm to 1 kohm, is in series; tan, 0 or 1e-9 to 1, is the loss tangent; SRF is the coil's
  self-resonance, Cself, 0 or 0.1fF to 10nF, the capacitance that causes it.
  Ratings of any part: V=500V (peak), I=1A (rms), P=2W (heat). Name: label=NAME.
Lines: RG-58,2m or Z0=50,VF=0.66,length=2m[,dB=4.56dB,per=100ft,at=30MHz] (loss of a matched piece).
Transformers: 7:1, turns at the transmitter's side to turns at the load's; ideal.
)";

namespace {

namespace plausible = station::plausible;
using station::Plausible;

/// One "key=value" of a list, or a value alone (no key), with their columns in the whole text.
struct Item {
  std::string key, value;
  std::size_t key_column = 1, value_column = 1;
};

/// A list of items under reading.
class Items {
public:
  Items(std::string_view text, std::string option) : option_(std::move(option)) {
    std::size_t column = 1;
    for (const std::string& piece : split(text, ',')) {
      const std::size_t equals = piece.find('=');
      Item item{"", piece, column, column};
      if (equals != std::string::npos)
        item = {trimmed(piece.substr(0, equals)), piece.substr(equals + 1), column, column + equals + 1};
      items_.push_back(item);
      column += piece.size() + 1;
    }
  }

  const Item& front() const { return items_.front(); }
  const std::vector<Item>& all() const { return items_; }

  [[noreturn]] void fail(std::size_t column, const std::string& message) const {
    throw ParseError({option_, 0, column}, message);
  }

  /// Every key is one of `legal` and none comes twice; values without a key only among the first `bare`.
  void check_keys(const std::vector<std::string>& legal, std::size_t bare = 0) const {
    std::string list = "; legal:";
    for (const std::string& key : legal) list += " " + key + "=";
    for (std::size_t n = 0; n < items_.size(); ++n) {
      const Item& item = items_[n];
      if (item.key.empty() && n < bare) continue;
      if (std::find(legal.begin(), legal.end(), item.key) == legal.end()) {
        fail(item.key_column, item.key.empty() ? fmt::format("\"{}\" has no key{}", item.value, list)
                                               : fmt::format("unknown key \"{}\"{}", item.key, list));
      }
      for (std::size_t other = 0; other < n; ++other) {
        if (items_[other].key == item.key)
          fail(item.key_column, fmt::format("{}= is given twice; legal: once", item.key));
      }
    }
  }

  const Item* find(std::string_view key) const {
    const auto found = std::find_if(items_.begin(), items_.end(), [&](const Item& i) { return i.key == key; });
    return found == items_.end() ? nullptr : &*found;
  }

  double quantity(const Item& item, Unit unit) const {
    return read_sized(item.value, unit, {option_, 0, item.value_column});
  }
  cdouble impedance(const Item& item) const {
    const cdouble z = read_sized_impedance(item.value, {option_, 0, item.value_column});
    if (z.real() < 0.0) fail(item.value_column, fmt::format("\"{}\": its real part must be >= 0", item.value));
    check(std::abs(z), item, plausible::fixed_impedance);
    return z;
  }

  double positive(const Item& item, Unit unit) const {
    const double value = quantity(item, unit);
    if (value <= 0.0)
      fail(item.value_column, fmt::format("\"{}\": {} must be > 0", item.value, item.key.empty() ? "it" : item.key));
    return value;
  }
  double positive(const Item& item, const Plausible& range) const {
    const double value = positive(item, range.unit);
    check(value, item, range);
    return value;
  }
  std::optional<double> positive(std::string_view key, const Plausible& range) const {
    const Item* item = find(key);
    return item ? std::optional(positive(*item, range)) : std::nullopt;
  }
  std::optional<double> not_negative(std::string_view key, const Plausible& range) const {
    const Item* item = find(key);
    if (!item) return std::nullopt;
    const double value = quantity(*item, range.unit);
    if (value < 0.0) fail(item->value_column, fmt::format("\"{}\": {} must be >= 0", item->value, key));
    check(value, *item, range);
    return value;
  }

  /// `key` means something only beside `other`.
  void needs(std::string_view key, std::string_view other) const {
    if (find(key) && !find(other)) fail(find(key)->key_column, fmt::format("{}= needs {}= beside it", key, other));
  }
  void excludes(std::string_view key, std::string_view other) const {
    if (find(key) && find(other)) {
      fail(std::max(find(key)->key_column, find(other)->key_column),
           fmt::format("{}= and {}= exclude each other", key, other));
    }
  }

  network::Element finish(network::Place place, network::Component part) const {
    network::Element element{"", place, std::move(part), {}};
    element.rating.voltage_v_peak = positive("V", plausible::rated_voltage).value_or(network::infinite);
    element.rating.current_a_rms = positive("I", plausible::rated_current).value_or(network::infinite);
    element.rating.dissipation_w = positive("P", plausible::rated_power).value_or(network::infinite);
    if (const Item* label = find("label")) {
      element.label = trimmed(label->value);
      const bool printable = std::all_of(element.label.begin(), element.label.end(),
                                         [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != 0x7F; });
      if (element.label.empty() || !printable) fail(label->value_column, "a label is empty or not printable");
    }
    return element;
  }

private:
  void check(double value, const Item& item, const Plausible& range) const {
    require_plausible(value, item.value, range, {option_, 0, item.value_column});
  }
  static std::string trimmed(std::string text) {
    text.erase(0, std::min(text.find_first_not_of(' '), text.size()));
    while (!text.empty() && text.back() == ' ') text.pop_back();
    return text;
  }

  std::string option_;
  std::vector<Item> items_;
};

std::vector<std::string> with_common(std::vector<std::string> keys) {
  for (const char* key : {"V", "I", "P", "label"}) keys.emplace_back(key);
  return keys;
}

network::Loss read_loss(const Items& items) {
  items.needs("Q_at", "Q");
  network::Loss loss;
  loss.q = items.positive("Q", plausible::part_q).value_or(network::infinite);
  loss.q_at_hz = items.positive("Q_at", plausible::reference_frequency).value_or(0.0);
  loss.series_ohm = items.not_negative("ESR", plausible::loss_resistance).value_or(0.0);
  loss.loss_tangent = items.not_negative("tan", plausible::loss_tangent).value_or(0.0);
  return loss;
}

network::Component read_inductor(const Items& items) {
  items.check_keys(with_common({"L", "Q", "Q_at", "ESR", "SRF", "Cself"}));
  items.excludes("SRF", "Cself");
  network::Inductor part{items.positive(items.front(), plausible::inductance), read_loss(items),
                         items.not_negative("Cself", plausible::stray_capacitance).value_or(0.0)};
  if (const auto resonance = items.positive("SRF", plausible::reference_frequency)) {
    part.self_capacitance_f = network::self_capacitance_from_resonance(part.inductance_h, *resonance);
  }
  return part;
}

network::Component read_capacitor(const Items& items) {
  items.check_keys(with_common({"C", "Q", "Q_at", "tan", "ESR"}));
  return network::Capacitor{items.positive(items.front(), plausible::capacitance), read_loss(items)};
}

/// Attenuation as dB= per= at=: all three or none.
network::Cable read_own_cable(const Items& items) {
  const auto z0 = items.positive("Z0", plausible::cable_impedance),
             velocity = items.positive("VF", plausible::velocity_factor);
  if (!z0 || !velocity || !items.find("length"))
    items.fail(1, "a line needs Z0=, VF= and length=, or a cable's name and a length: RG-58,2m");
  const std::string name = print_quantity(*z0, Unit::ohm) + " line";
  for (const char* key : {"dB", "per", "at"}) {
    for (const char* other : {"dB", "per", "at"}) items.needs(key, other);
  }
  if (!items.find("dB")) return {name, *z0, *velocity, 0.0, 0.0, "as given, without loss"};
  const network::AttenuationPoint point{*items.positive("at", plausible::reference_frequency),
                                        *items.positive("dB", plausible::attenuation),
                                        *items.positive("per", plausible::attenuation_length)};
  return network::cable_from_attenuation(name, *z0, *velocity, std::vector{point});
}

/// The pieces between colons as items of their own, with their columns.
std::vector<Item> colon_pieces(std::string_view text, const std::string& option, std::size_t count, const char* form) {
  std::vector<Item> items;
  std::size_t column = 1;
  for (const std::string& piece : split(text, ':')) {
    items.push_back({"", piece, column, column});
    column += piece.size() + 1;
  }
  if (items.size() != count) throw ParseError({option, 0, 1}, fmt::format("\"{}\" is not in the form {}", text, form));
  return items;
}

Range read_ends(const Items& reader, const Item& from, const Item& to, Unit unit) {
  const Range limits{reader.positive(from, unit), reader.positive(to, unit)};
  if (limits.high <= limits.low)
    reader.fail(to.value_column, fmt::format("\"{}\" is not above \"{}\"", to.value, from.value));
  return limits;
}

}  // namespace

network::Element read_part(std::string_view text, network::Place place, const std::string& option) {
  const Items items(text, option);
  const std::string& key = items.front().key;
  if (key == "L") return items.finish(place, read_inductor(items));
  if (key == "C") return items.finish(place, read_capacitor(items));
  if (key == "R") {
    items.check_keys(with_common({"R"}));
    return items.finish(place, network::Resistor{*items.not_negative("R", plausible::resistor)});
  }
  if (key == "Z") {
    items.check_keys(with_common({"Z"}));
    return items.finish(place, network::FixedImpedance{items.impedance(items.front())});
  }
  items.fail(1, fmt::format("\"{}\" does not start with a part; legal: L=1.2uH, C=300pF, R=50ohm or Z=12-230j", text));
}

network::Element read_line(std::string_view text, const std::string& option) {
  const Items items(text, option);
  if (!items.front().key.empty()) {
    items.check_keys(with_common({"Z0", "VF", "dB", "per", "at", "length"}));
    network::Cable own = read_own_cable(items);
    return items.finish(network::Place::cascade,
                        network::TransmissionLine{std::move(own), *items.positive("length", plausible::line_length)});
  }
  items.check_keys(with_common({}), 2);
  if (items.all().size() < 2 || !items.all()[1].key.empty())
    items.fail(1, "a cable needs its length behind its name: RG-58,2m");
  const std::span<const network::Cable> known = network::cable_table();
  const auto found =
      std::find_if(known.begin(), known.end(), [&](const network::Cable& c) { return c.name == items.front().value; });
  if (found == known.end()) {
    std::string names;
    for (const network::Cable& c : known) names += " " + c.name;
    items.fail(1, fmt::format("no cable \"{}\" is known; legal:{}, or Z0= VF= length=", items.front().value, names));
  }
  return items.finish(network::Place::cascade,
                      network::TransmissionLine{*found, items.positive(items.all()[1], plausible::line_length)});
}

network::Element read_transformer(std::string_view text, const std::string& option) {
  const Items items(text, option);
  items.check_keys(with_common({}), 1);
  if (!items.front().key.empty()) items.fail(1, "a transformer starts with its turns: 7:1");
  const std::vector<Item> turns = colon_pieces(items.front().value, option, 2, "7:1");
  return items.finish(network::Place::cascade, network::Transformer{items.positive(turns[0], plausible::turns) /
                                                                    items.positive(turns[1], plausible::turns)});
}

void name_parts(network::Ladder& ladder) {
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    network::Element& element = ladder.elements[n];
    if (!element.label.empty()) continue;
    const std::string kind = network::kind_name(element.part);
    const char* letter = kind.rfind("inductor", 0) == 0    ? "L"
                         : kind.rfind("capacitor", 0) == 0 ? "C"
                         : kind == "resistor"              ? "R"
                         : kind == "transformer"           ? "T"
                         : kind == "line"                  ? "W"
                                                           : "Z";
    element.label = letter + std::to_string(n + 1);
  }
}

std::vector<double> read_sweep(std::string_view text, const std::string& option) {
  const Items reader(text, option);
  const std::vector<Item> pieces = colon_pieces(text, option, 3, "FROM:TO:POINTS, 14MHz:14.35MHz:36");
  const Range ends = read_ends(reader, pieces[0], pieces[1], Unit::hertz);
  const double count = reader.quantity(pieces[2], Unit::one);
  if (count < 2.0 || count > 1e5 || count != std::floor(count)) {
    reader.fail(pieces[2].value_column, fmt::format("\"{}\": out of range; legal: 2..100000 points", pieces[2].value));
  }
  std::vector<double> frequencies;
  const auto steps = static_cast<int>(count) - 1;
  for (int n = 0; n <= steps; ++n) {
    frequencies.push_back(n == steps ? ends.high : ends.low + (ends.high - ends.low) * n / steps);
  }
  return frequencies;
}

std::vector<double> given_frequencies(const Arguments& arguments) {
  std::vector<double> all;
  for (const std::string& sweep : arguments.texts("--sweep")) {
    for (const double f : read_sweep(sweep, "--sweep")) all.push_back(f);
  }
  for (const std::string& text : arguments.texts("--frequency")) {
    all.push_back(read_sized(text, Unit::hertz, {"--frequency", 0, 1}));
    if (all.back() <= 0.0) throw ParseError({"--frequency", 0, 1}, fmt::format("\"{}\": must be > 0", text));
  }
  if (all.empty()) throw UsageError("no frequency is given; legal: --frequency 7.1MHz or --sweep 7MHz:7.2MHz:21");
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

Range read_limits(std::string_view text, Unit unit, const std::string& option) {
  const std::vector<Item> pieces = colon_pieces(text, option, 2, "FROM:TO");
  return read_ends(Items(text, option), pieces[0], pieces[1], unit);
}

}  // namespace stile::tools
