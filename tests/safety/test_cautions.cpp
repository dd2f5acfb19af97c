// The cautions: what must stand in every output, and the figures of the case.
#include <catch2/catch.hpp>

#include <algorithm>

#include <stile/safety/cautions.hpp>

using namespace stile;
using namespace stile::safety;

namespace {

const Caution* find(const std::vector<Caution>& all, const std::string& hazard) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Caution& c) { return c.hazard == hazard; });
  return found == all.end() ? nullptr : &*found;
}

bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

}  // namespace

TEST_CASE("three cautions have a line of at most 110 characters, with the voltage where it is known") {
  for (const CautionCase& facts :
       {CautionCase{}, CautionCase{5.0, 12345.6, "80 m, lifted on the heather", 3.65e6, true, true}}) {
    std::vector<std::string> lines;
    for (const Caution& c : cautions(facts)) {
      if (c.line.empty()) continue;
      lines.push_back(c.hazard);
      CHECK(c.line.size() <= 110);
    }
    CHECK(lines == std::vector<std::string>{"RF burn", "exposure", "local rules"});
  }
  CHECK(says(find(cautions({5.0, 1234.5, "", 7.1e6, false, true}), "RF burn")->line, "up to 1.23 kV peak"));
}

TEST_CASE("every case has the customary cautions with a basis") {
  for (const CautionCase& facts : {CautionCase{}, CautionCase{5.0, 1054.87, "40 m", 7.1e6, true, true}}) {
    const auto all = cautions(facts);
    for (const char* hazard :
         {"RF burn", "exposure", "tune carrier", "touch by others", "overhead lines", "lightning", "local rules"}) {
      INFO(hazard);
      const Caution* caution = find(all, hazard);
      REQUIRE(caution != nullptr);
      CHECK(!caution->text.empty());
      CHECK(!caution->basis.empty());
    }
  }
}

TEST_CASE("the burn caution carries the voltage of the case and where it stands") {
  const auto all = cautions({10.0, 1054.87, "40 m, lifted", 7.1e6, false, true});
  CHECK(says(find(all, "RF burn")->text, "Up to 1.05 kV peak with this transmitter of 10 W"));
  CHECK(says(find(all, "RF burn")->text, "40 m, lifted"));
  CHECK(!says(find(cautions({}), "RF burn")->text, "peak"));
}

TEST_CASE("the reach of the near field is a wavelength over two pi") {
  // Reactive radius: 26.5 m at 1.8 MHz, 6.7 m at 7.1 MHz, 1.7 m at 28.5 MHz (47.7/f, derived).
  const auto at = [](double frequency_hz) {
    return find(cautions({5.0, 0.0, "", frequency_hz, false, true}), "exposure")->text;
  };
  CHECK(says(at(1.8e6), "27 m at 1.8 MHz"));
  CHECK(says(at(7.1e6), "6.7 m at 7.1 MHz"));
  CHECK(says(at(28.5e6), "1.7 m at 28.5 MHz"));
  // ICNIRP 2020 Table 8 ends at 10 MHz.
  CHECK(says(at(7.1e6), "not averaged in time"));
  CHECK(!says(at(14.1e6), "not averaged in time"));
}

TEST_CASE("a tuner and a whip on the body bring their own cautions") {
  CHECK(says(find(cautions({5.0, 0.0, "", 7e6, true, false}), "tune carrier")->text, "Lock the tuner"));
  CHECK(!says(find(cautions({5.0, 0.0, "", 7e6, false, false}), "tune carrier")->text, "Lock the tuner"));
  CHECK(find(cautions({5.0, 0.0, "", 7e6, false, true}), "falls and wind") != nullptr);
  CHECK(find(cautions({5.0, 0.0, "", 7e6, false, false}), "falls and wind") == nullptr);
}

TEST_CASE("the wind that was computed stands in its caution") {
  CautionCase facts{5.0, 0.0, "", 7e6, false, true};
  const Caution without = *find(cautions(facts), "falls and wind");
  CHECK(without.text.find("Computed") == std::string::npos);
  CHECK(without.basis.find("43 N m") != std::string::npos);
  facts.wind = {"high: 12 N m", "low: 3 N m"};
  const Caution with = *find(cautions(facts), "falls and wind");
  CHECK(with.text == without.text + " Computed: high: 12 N m. Computed: low: 3 N m.");
  CHECK(with.basis.find("EN 1991-1-4") != std::string::npos);
}

TEST_CASE("the distance to overhead lines is the published one") {
  // Energy Networks Association (UK), angling guidance, 2016: 30 m.
  CHECK(says(find(cautions({}), "overhead lines")->text, "30 m"));
}

TEST_CASE("the exposure caution scales with power and carries what was computed") {
  const auto with = [](double power_w, std::vector<std::string> findings) {
    CautionCase facts{power_w, 0.0, "", 7e6, false, true, {}};
    facts.findings = std::move(findings);
    return find(cautions(facts), "exposure")->text;
  };
  // 0.08 W/kg (47 CFR 1.1310(c)): 62.5 kg at 5 W, 250 kg at 20 W.
  CHECK(says(with(5.0, {}), "5 W cannot heat a whole body above 0.08 W/kg when it has more than 62.5 kg"));
  CHECK(says(with(20.0, {}), "20 W can exceed the public restriction on the whole body"));
  // He weighs 75 kg at the most of whom nothing is said: 6 W are 75 kg, 6.01 W more.
  CHECK(says(with(6.0, {}), "6 W cannot heat a whole body above 0.08 W/kg when it has more than 75 kg"));
  CHECK(says(with(6.01, {}), "6.01 W can exceed the public restriction on the whole body"));
  CHECK(says(with(20.0, {}), "less than 250 kg"));
  CHECK(says(with(5.0, {"head 1.4 times the public level"}),
             "Computed for this antenna: head 1.4 times the public level"));
  CHECK(says(with(5.0, {"head 1.4 times the public level"}), "not a basic restriction exceeded"));
  // What was computed is added to the usual advice, whatever it says.
  for (const char* finding : {"head 1.4 times the public level", "head 0.3 of the public level"}) {
    for (const char* words : {"Keep head and back as far from the whip", "use the least power", "keep overs short",
                              "implants: ask a physician first"})
      CHECK(says(with(5.0, {finding}), words));
  }
}

TEST_CASE("nobody reads a green light into the cautions") {
  for (const double power_w : {0.0, 0.01, 5.0, 100.0}) {
    for (const Caution& c : cautions({power_w, 300.0, "", 7e6, true, true, {}})) {
      INFO(c.text);
      CHECK(!says(c.text, "safe"));
      CHECK(!says(c.basis, "safe"));
    }
  }
}
