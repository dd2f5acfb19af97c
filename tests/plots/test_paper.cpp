#include <catch2/catch.hpp>

#include <functional>

#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/coil_sheet.hpp>
#include <stile/plots/pack_card.hpp>
#include <stile/plots/schematic.hpp>

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

double left_of(const DrawnText& t) {
  const double width = text_width_mm(t.text, t.style);
  return t.x_mm - (t.anchor == Anchor::left ? 0.0 : t.anchor == Anchor::centre ? 0.5 * width : width);
}

/// Boxes around texts: from a quarter of the type's size below the base line to three quarters above.
void check_texts(const Drawing& page) {
  for (std::size_t n = 0; n < page.texts.size(); ++n) {
    const DrawnText& t = page.texts[n];
    INFO(t.text);
    const double left = left_of(t), right = left + text_width_mm(t.text, t.style);
    CHECK(left >= 0.0);
    CHECK(right <= page.width_mm);
    CHECK(t.y_mm - 0.75 * t.style.size_mm >= 0.0);
    CHECK(t.y_mm + 0.25 * t.style.size_mm <= page.height_mm);
    for (std::size_t m = 0; m < n; ++m) {
      const DrawnText& o = page.texts[m];
      const double other = left_of(o), other_right = other + text_width_mm(o.text, o.style);
      const bool beside = right <= other + 0.01 || other_right <= left + 0.01;
      const bool apart = t.y_mm + 0.2 * t.style.size_mm <= o.y_mm - 0.7 * o.style.size_mm ||
                         o.y_mm + 0.2 * o.style.size_mm <= t.y_mm - 0.7 * t.style.size_mm;
      INFO(o.text);
      CHECK((beside || apart));
    }
  }
}

std::string all_text(const Drawing& page) {
  std::string all;
  for (const DrawnText& t : page.texts) all += t.text + "\n";
  return all;
}

PackCard card(std::size_t bands, std::size_t settings) {
  PackCard c{
      "Nest survey, walker A (invented)", "whip 3 m, trailing wire 5 m", {}, {"Touch nothing while keyed."}, "a 1"};
  for (std::size_t b = 0; b < bands; ++b) {
    CardBand band{fmt::format("{} m", 10 * (b + 1)), "switched coil, set by hand", {}, "5 W in, up to 1.3 kV peak"};
    for (std::size_t s = 0; s < settings; ++s)
      band.settings.push_back(
          {fmt::format("condition {}", s + 1), fmt::format("tap {}, rest open", s + 3), "1.2 to 1.9"});
    c.bands.push_back(band);
  }
  return c;
}

}  // namespace

TEST_CASE("a PDF is the same each time, keeps its size in print and names its page") {
  Drawing d;
  d.texts.push_back({20.0, 20.0, "ohm: \u03A9, micro: \u00B5, name: \u0141\u00F3d\u017A", {4.0, true}});
  const std::string pdf = pdf_text({d}, "a title");
  CHECK(pdf == pdf_text({d}, "a title"));
  CHECK_THAT(pdf, Contains("/PrintScaling /None") && Contains("595.27") && Contains("841.88"));
  CHECK_THAT(pdf, Contains("FontFile"));  // the type is in the file
  CHECK_THAT(svg_text(d), Contains("ohm: \u03A9, micro: \u00B5, name: \u0141\u00F3d\u017A</text>"));
  CHECK(missing_letters({d}).empty());
  CHECK_THROWS_AS(pdf_text({}, "a"), DomainError);
  CHECK_THROWS_AS(pdf_text({Drawing{0.0, 10.0, {}, {}, {}, {}}}, "a"), DomainError);
}

TEST_CASE("letters that no font has are named") {
  Drawing d;
  // A private-use letter; nothing assigns it.
  d.texts.push_back({20.0, 20.0, "a\U0010FFFDb\U0010FFFD", {}});
  CHECK(missing_letters({d}) == std::vector<std::string>{"U+10FFFD"});
  CHECK_NOTHROW(pdf_text({d}, "a"));
}

TEST_CASE("SVG stays XML whatever a text holds") {
  Drawing d;
  d.texts.push_back({20.0, 20.0, "<a & \"b\">\x01\t\xff", {}});
  const std::string svg = svg_text(d);
  CHECK_THAT(svg, Contains("&lt;a &amp; \"b\"&gt;  \uFFFD</text>"));
}

TEST_CASE("text breaks between words, never between a number and its unit, and within a word that is too long") {
  const TypeStyle style{3.0};
  const std::string text = "shunt inductor 2.17 uH, series inductor 64.7 uH, set anew when the wire moves";
  for (double width = 20.0; width < 120.0; width += 7.0) {
    const std::vector<std::string> lines = text_lines(text, style, width);
    std::string joined;
    for (const std::string& line : lines) {
      INFO(line);
      CHECK(text_width_mm(line, style) <= width + 0.01);
      CHECK(line.rfind("uH", 0) != 0);
      joined += (joined.empty() ? "" : " ") + line;
    }
    CHECK(joined == text);
  }
  const std::vector<std::string> cut = text_lines(std::string(100, 'w'), style, 30.0);
  CHECK(cut.size() > 1);
  CHECK(text_lines("", style, 30.0) == std::vector<std::string>{""});
  // Twice the type is twice as wide.
  CHECK(std::abs(text_width_mm(text, {6.0}) / text_width_mm(text, style) - 2.0) < 1e-3);
}

TEST_CASE("a pack card says what to set on every band, nothing overlaps and nothing is cut") {
  for (const auto& [bands, settings] : {std::pair<std::size_t, std::size_t>{1, 1}, {6, 1}, {6, 3}, {8, 4}, {10, 6}}) {
    INFO(bands << " bands, " << settings << " settings");
    const std::vector<Drawing> pages = pack_card(card(bands, settings));
    REQUIRE(pages.size() == 2);
    CHECK(pages[0].width_mm == 105.0);
    CHECK(pages[0].height_mm == 148.0);
    CHECK(pages[1].width_mm == 85.6);
    CHECK(pages[1].height_mm == 54.0);
    for (const Drawing& page : pages) {
      check_texts(page);
      const std::string all = all_text(page);
      for (std::size_t b = 0; b < bands; ++b) CHECK_THAT(all, Contains(fmt::format("{} m\n", 10 * (b + 1))));
      CHECK_THAT(all, Contains("Touch nothing"));
      if (bands * settings < 20) CHECK_THAT(all, Contains("tap 3") && Contains("SWR 1.2 to 1.9"));
      for (const DrawnText& t : page.texts) CHECK(t.style.size_mm >= (t.text == "a 1" ? 1.4 : 1.69));
    }
  }
  CHECK_THROWS_AS(pack_card(card(0, 1)), DomainError);
  CHECK_THROWS_AS(pack_card(card(1, 0)), DomainError);
  CHECK_THROWS_AS(pack_card(card(60, 1)), DomainError);
}

TEST_CASE("settings that a card has no room for are counted on it") {
  const std::vector<Drawing> pages = pack_card(card(8, 20));
  CHECK_THAT(all_text(pages[0]), Contains("more settings: see the report"));
  CHECK_THAT(all_text(pages[1]), Contains("settings: see the large card"));
}

TEST_CASE("a schematic names every part with its value") {
  Drawing page;
  network::Inductor coil;
  coil.inductance_h = 86.5e-6;
  network::Capacitor capacitor;
  capacitor.capacitance_f = 56e-12;
  draw_schematic(
      page, 18.0, 20.0, 174.0,
      {{{"C1", network::Place::shunt, capacitor}, {"L1", network::Place::series, coil}}, 1, "coil, tap 73 of 77"});
  const std::string all = all_text(page);
  CHECK_THAT(all, Contains("56 pF") && Contains("86.5 uH") && Contains("coil, tap 73 of 77") &&
                      Contains("transmitter") && Contains("whip") && Contains("capacitor"));
  check_texts(page);
  for (const DrawnLine& l : page.lines) {
    CHECK(std::min(l.y1_mm, l.y2_mm) >= 20.0);
    CHECK(std::max(l.y1_mm, l.y2_mm) <= 20.0 + schematic_row_mm);
  }
}

TEST_CASE("a schematic has the cables on both sides, with parts and with a coil that feeds") {
  network::Inductor coil;
  coil.inductance_h = 86.5e-6;
  const Schematic parts{{{"L1", network::Place::shunt, coil}, {"L2", network::Place::series, coil}},
                        {},
                        "",
                        {},
                        network::TransmissionLine{network::cable("RG-174"), 0.8},
                        network::TransmissionLine{network::cable("RG-58"), 1.2}};
  const Schematic fed{{}, {}, "coil, rest open", Autotransformer{4.0, 31.0, 40.0}, parts.before, parts.after};
  for (const Schematic& schematic : {parts, fed}) {
    Drawing page;
    draw_schematic(page, 18.0, 20.0, 174.0, schematic);
    CHECK_THAT(all_text(page), Contains("800 mm of RG-174") && Contains("1.2 m of RG-58") && Contains("cable"));
    check_texts(page);
    const auto left = [&](const std::string& text) {
      for (const DrawnText& t : page.texts) {
        if (t.text == text) return t.x_mm;
      }
      return 0.0;
    };
    CHECK(left("800 mm of RG-174") < left("1.2 m of RG-58"));
  }
}

TEST_CASE("a schematic that has no room in one row goes on in the next from letter to letter") {
  network::Inductor coil;
  coil.inductance_h = 86.5e-6;
  network::Capacitor capacitor;
  capacitor.capacitance_f = 2.245e-9;
  const Schematic parts{{{"C1", network::Place::shunt, capacitor}, {"L1", network::Place::series, coil}},
                        1,
                        "coil, tap 73 of 77, 12.3 pF across",
                        {},
                        network::TransmissionLine{network::cable("RG-174"), 0.8},
                        network::TransmissionLine{network::cable("RG-58"), 1.2}};
  const Schematic fed{{}, {}, "coil, rest shorted, 12.3 pF across", Autotransformer{4.0, 31.5, 77.0}, {}, {}};
  constexpr double wide = 174.0, narrow = 78.0;
  CHECK(schematic_height_mm(parts, wide) == schematic_row_mm);
  CHECK(schematic_height_mm(parts, narrow) == 2.0 * schematic_row_mm);
  CHECK(schematic_height_mm(fed, narrow) == schematic_row_mm);
  for (const Schematic& schematic : {std::cref(parts), std::cref(fed)}) {
    Drawing page;
    page.width_mm = narrow + 2.0;
    page.height_mm = schematic_height_mm(schematic, narrow) + 2.0;
    draw_schematic(page, 1.0, 1.0, narrow, schematic);
    check_texts(page);
    for (const DrawnText& t : page.texts) CHECK(t.style.size_mm >= schematic_type_mm);
    for (const char* letter : {"a", "b"}) {
      std::size_t ends = 0;
      for (const DrawnText& t : page.texts) ends += t.text == letter;
      CHECK(ends == (&schematic == &fed ? 0 : 2));
    }
  }
}

TEST_CASE("a build sheet breaks its tables between rows and repeats their heading") {
  CoilSheet sheet{"bench (invented)", coil::plain_winding(77, 0.051, 0.0018, 0.001), {}, 0.05, {}, {}, {}, {}, "a 1"};
  for (int n = 1; n <= 16; ++n) sheet.taps.push_back({fmt::format("{} m: lifted", n), {0, 4.0 * n}});
  std::vector<std::vector<std::string>> rows{{"Band", "Tap", "What it is for"}};
  for (int n = 0; n < 90; ++n)
    rows.push_back({fmt::format("{} m", n), fmt::format("{}", n),
                    "a long remark that needs more than one line on the sheet because it says everything twice, "
                    "everything twice, and then once more for those who did not read it"});
  sheet.tables = {{"Settings", rows, {"A note."}}};
  const std::vector<Drawing> pages = coil_sheet(sheet);
  REQUIRE(pages.size() > 2);
  std::size_t heads = 0;
  for (const Drawing& page : pages) {
    check_texts(page);
    const std::string all = all_text(page);
    if (all.find("Settings") != all.npos) ++heads;
    if (all.find("Settings") != all.npos) CHECK_THAT(all, Contains("What it is for"));
    CHECK_THAT(all, Contains(fmt::format("of {}", pages.size())));
  }
  CHECK(heads > 1);
  // Drawn to scale: the winding is 77 turns of 1.8 mm and one wire, 139.6 mm, at 1 : 1.
  CHECK_THAT(all_text(pages[0]), Contains("139.6 over the wire") && Contains("1 : 1"));
  double low = 1e9, high = -1e9;
  for (const DrawnLine& l : pages[0].lines) {
    if (l.width_mm != 1.0) continue;
    low = std::min(low, l.x1_mm - 0.5);
    high = std::max(high, l.x1_mm + 0.5);
  }
  CHECK(std::abs(high - low - (76 * 1.8 + 1.0)) < 1e-9);  // where the first and the last turn begin
}
