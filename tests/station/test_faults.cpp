// Everything that is wrong with a station file is told at once, and what is only a consequence is not.
#include <algorithm>
#include <string>
#include <vector>

#include <design/briefs.hpp>
#include <station/bench_station.hpp>
#include <station/one_change.hpp>
#include <stile/station/any_tuner.hpp>
#include <stile/station/brief.hpp>
#include <stile/station/station.hpp>
#include <stile/station/wires_file.hpp>

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

template <class Read>
std::vector<std::string> faults_of(const Read& read) {
  std::vector<std::string> all;
  try {
    read();
  } catch (const ParseErrors& errors) {
    for (const ParseError& e : errors.faults) all.emplace_back(e.what());
  } catch (const ParseError& error) {
    all.emplace_back(error.what());
  }
  return all;
}

std::vector<std::string> faults(const std::string& text) {
  return faults_of([&] { read_station(text, "s.toml", "."); });
}

/// One fault for each of these parts of a message, and no other.
void told(const std::vector<std::string>& all, const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& f : all) text += f + "\n";
  INFO(text);
  for (const std::string& part : parts) {
    INFO("looked for: " << part);
    CHECK(std::count_if(all.begin(), all.end(),
                        [&](const std::string& f) { return f.find(part) != std::string::npos; }) == 1);
  }
  CHECK(all.size() == parts.size());
}

}  // namespace

TEST_CASE("every fault of a station file is told in one pass with its line and column") {
  std::string text = bench_station;
  text = changed(text, "power = \"5 W\"\nimpedance", "power = \"5 m\"\nimpedance");
  text = changed(text, "swr_limit = 2", "swr_limit = 0.5");
  text = changed(text, "low = \"14.0 MHz\"", "lowest = \"14.0 MHz\"");
  text = changed(text, "capacitance = \"25 pF\"", "capacitance = 25");
  text = changed(text, "type = \"RG-174\"", "type = \"RG-999\"");
  text = changed(text, "inductor_q = 200\n", "inductor_q = -200\n");
  text = changed(text, "q = 900", "q = \"much\"");
  text = changed(text, "kind = \"base coil\"", "kind = \"base wire\"");
  text = changed(text, "ground = \"0.5\"", "ground = 1.5");
  const std::vector<std::string> all = faults(text);
  const std::vector<std::string> places{
      "s.toml:7:12: ", "s.toml:9:13: ",  "s.toml:21:1: ", "s.toml:19:1: ", "s.toml:34:15: ",
      "s.toml:41:8: ", "s.toml:51:14: ", "s.toml:76:6: ", "s.toml:94:8: ", "s.toml:99:10: "};
  for (const std::string& place : places) {
    INFO(place);
    CHECK(std::count_if(all.begin(), all.end(), [&](const std::string& f) { return f.rfind(place, 0) == 0; }) == 1);
  }
  for (const std::string& f : all) UNSCOPED_INFO(f);
  CHECK(all.size() == places.size());
}

TEST_CASE("what refers to something with a fault is no fault of its own") {
  CHECK(faults(changed(bench_station, "type = \"RG-174\"\nlength = \"0.8 m\"", "type = \"RG-174\"")).size() == 1);
  CHECK(faults(changed(bench_station, "values = [\"40 pF\", \"160 pF\"]", "values = []")).size() == 1);
  CHECK(faults(changed(bench_station, "condition = \"wet\"\nnote", "condition = 3\nnote")).size() == 1);
  CHECK(faults(changed(bench_station, "name = \"40 m\"\nlow = \"7.0 MHz\"", "low = \"7.0 MHz\"")).size() == 1);
  CHECK(faults(changed(bench_station, "high = \"7.2 MHz\"", "high = \"7.2 m\"")).size() == 1);
  // Wires that cannot be read have the conditions that are described.
  const std::string stated = bench_station;
  const std::size_t loads = stated.find("[[load]]\ncondition = \"dry\""), behind = stated.find("[cable.lead]");
  const std::vector<std::string> unread =
      faults(stated.substr(0, loads) + "[[antenna]]\nname = \"whip\"\nwires = \"none.toml\"\n\n" +
             stated.substr(behind) + "\n[[condition]]\nname = \"wet\"\nshare = 1.0\n");
  for (const std::string& f : unread) UNSCOPED_INFO(f);
  CHECK(unread.size() == 1);
}

TEST_CASE("a fault in one place does not hide one behind it in the same table") {
  CHECK(faults(changed(changed(bench_station, "radiation = \"1 ohm\"", "radiation = \"1 m\""), "metal_at = \"7 MHz\"",
                       "metal_at = \"7 MW\""))
            .size() == 2);
  CHECK(faults(changed(changed(bench_station, "q_at = \"7 MHz\"\nstray", "q_at = \"7 V\"\nstray"), "stray = \"0.1 uH\"",
                       "stray = \"0.1 uF\""))
            .size() == 2);
}

TEST_CASE("every fault of a wires file is told in one pass, and what stands on another is not") {
  const std::string text =
      "[ground]\nrelative_permittivity = 15\nconductivity = \"1 m\"\n"                                  // 3
      "[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.2], [0, 0, 4.2]]\nradius = \"1.5 kg\"\n"           // 7
      "[[wire]]\nname = \"counterpoise\"\nlength = \"5 m\"\nradius = \"0.5 mm\"\nmetal = \"cheese\"\n"  // 12
      "[feed]\ngap = \"20 km\"\n"                                                                       // 14
      "[[lump]]\non = \"counterpoise\"\ndistance = \"0.1 m\"\nresistance = 1\n"
      "[[condition]]\nname = \"lifted\"\nkind = \"lifted\"\n";
  const std::vector<std::string> all = faults_of([&] { read_wires(text, "w.toml"); });
  for (const std::string& f : all) UNSCOPED_INFO(f);
  REQUIRE(all.size() == 5);
  const std::vector<std::pair<std::string, std::string>> expected{{"w.toml:3:19: ", "S/m"},
                                                                  {"w.toml:4:1: ", "\"metal\""},
                                                                  {"w.toml:7:15: ", "mm"},
                                                                  {"w.toml:12:9: ", "copper"},
                                                                  {"w.toml:14:7: ", "m"}};
  for (std::size_t n = 0; n < expected.size(); ++n) {
    CHECK(all[n].rfind(expected[n].first, 0) == 0);
    CHECK(all[n].find(expected[n].second, expected[n].first.size()) != std::string::npos);  // what would be legal
  }
}

TEST_CASE("every fault of each table of a station file is told, and none that only follows from another") {
  const std::string text = bench_station;
  told(faults(text + "[coil.a]\nformer = \"50 mm\"\npitch = \"2 mm\"\nwire = \"1 kg\"\nunused = \"perhaps\"\nmetal = "
                     "\"cheese\"\nmaterial = \"wood\"\ntap_step = 3\nstep = \"no\"\nformer_wall = \"2 mm\"\n"
                     "taps = [{ band = \"12 m\", turns = 3 }]\n"),
       {"\"1 kg\"", "\"unused\" must be", "cheese", "wood", "\"tap_step\" must be", "\"step\" must be",
        "no [[band]] is called \"12 m\""});
  // What is made of a coil with a fault is not judged: a whip with it, or fed at a tap of it.
  told(faults(
           text +
           "[coil.a]\nformer = \"50 mm\"\npitch = \"2 mm\"\nwire = \"1 kg\"\nturns = 20\ntaps = [{ band = \"40 m\" }]\n"
           "[[arrangement]]\nname = \"up\"\nkind = \"base coil\"\nwhip = { coil = \"a\" }\n"
           "[[arrangement]]\nname = \"fed\"\nkind = \"autotransformer\"\ncoil = \"a\"\n"),
       {"\"1 kg\"", "a tap needs its \"turns\"", "needs \"coil\" and its \"distance\""});
  told(
      faults(text +
             "[[arrangement]]\nname = \"up\"\nkind = \"base coil\"\nwhip = { longer = \"1 m\", shorter = \"2 kg\" }\n"),
      {"not both", "\"2 kg\""});
  told(faults(text + "[coil.b]\nwire = \"1 mm\"\npitch = \"2 mm\"\nturns = 900\nnear_metal = \"wood\"\n"),
       {"either a \"former\"", "\"turns\" must be at most", "no metal \"wood\""});
  std::string tuner = changed(text, "form = \"L\"", "form = \"Q\"");
  tuner = changed(tuner, "values = [\"0.2 uH\", \"0.8 uH\", \"3.2 uH\"]\nq = 100", "values = [\"1 pF\"]\nq = -1");
  told(faults(changed(tuner, "stray = \"10 pF\"", "stray = \"3 H\"")),
       {"\"form\" must be", "\"1 pF\"", "\"q\" in", "\"3 H\""});
  told(faults(changed(text, "stray = \"10 pF\"", "part_q = [1, 2, 3]\n[tuner.load_inductors]\nvalues = [1]")),
       {"\"part_q\" has 3 entries", "only form \"LCL\"", "plausible"});
  told(faults(text +
              "[battery]\nchemistry = \"lead\"\ncapacity_ah = -3\ntemperature = 900\ncut_off = 12\nexponent = [2, 1]\n"
              "[mode]\nname = \"SSB\"\ntalk = 0.2\n"),
       {"no chemistry \"lead\"", "\"capacity_ah\"", "\"temperature\"", "receive_current", "transmit_current",
        "\"exponent\""});
  told(faults(changed(text, "type = \"RG-174\"\nlength = \"0.8 m\"", "type = \"RG-1\"\nlength = \"2 V\"")),
       {"RG-1", "\"2 V\""});
  told(faults(changed(
           text, "velocity_factor = 0.66\nattenuation = [{ at = \"10 MHz\", loss = \"4.6 dB\", length = \"100 m\" }]",
           "velocity_factor = 66\nattenuation = []")),
       {"or \"impedance\", \"velocity_factor\" and", "\"velocity_factor\" in"});
  told(faults(changed(changed(text, "capacitor_q = 1000", "capacitor_q = -4"), "capacitor_series = \"E24\"",
                      "capacitor_series = \"E25\"")),
       {"\"capacitor_q\"", "E25"});
  told(faults(text + "contact = 3\ntemperature = [\"3 C\"]\n"), {"\"contact\"", "\"3 C\""});
  told(faults(changed(changed(text, "high = \"14.35 MHz\"", "high = \"1.4 MHz\""), "use = [\"7.05 MHz\", \"7.15 MHz\"]",
                      "use = [\"7.05 MHz\"]")),
       {"\"high\" must be above", "\"use\" must be two"});
  told(faults(text + "[[path]]\ndistance = \"5 g\"\nelevation = [\"80 deg\", \"60 deg\"]\nband = \"12 m\"\n"),
       {"either a \"distance\" or an \"elevation\"", "\"5 g\"", "two in order", "no [[band]] is called \"12 m\""});
  told(faults(changed(text, "impedance = \"14-230j ohm\"",
                      "impedance = \"14-230j V\"\nfile = \"no.s1p\"\nlying_wire = \"5 kg\"")),
       {"exactly one of the keys", "14-230j V", "no.s1p", "\"5 kg\""});
}

TEST_CASE("an arrangement of an unknown kind has its name, and its other faults are told") {
  const std::string text = changed(bench_station, "name = \"coil\"\nkind = \"base coil\"",
                                   "name = \"x\"\nkind = \"wood\"\nmass = \"1 m\"\nparts = { inductor_q = -1 }");
  const std::string more = "[[arrangement]]\nname = \"{}\"\nkind = \"stone\"\ncable_before = \"none\"\n";
  const auto with = [&](const std::string& name) { return faults(text + changed(more, "{}", name)); };
  const std::vector<std::string> each{"\"kind\" must be", "\"1 m\"", "\"inductor_q\"", "nothing is called \"none\""};
  std::vector<std::string> both = with("y");
  CHECK(std::count_if(both.begin(), both.end(),
                      [&](const std::string& f) { return f.find(each.front()) != std::string::npos; }) == 2);
  std::erase_if(both, [&](const std::string& f) { return f.find(each.front()) != std::string::npos; });
  told(both, {each.begin() + 1, each.end()});
  const std::vector<std::string> same = with("x");
  CHECK(same.size() == both.size() + 3);
  CHECK(std::count_if(same.begin(), same.end(), [](const std::string& f) {
          return f.find("the name \"x\" is taken") != std::string::npos;
        }) == 1);
}

TEST_CASE("every fault of a tuner's own file is told") {
  told(faults_of([] {
         read_tuner("[tuner]\nform = \"Q\"\ncapacitor_side = \"both\"\n[tuner.inductors]\nvalues = [\"1 V\"]\n",
                    "t.toml");
       }),
       {"\"form\" must be", "\"capacitor_side\" must be", "\"1 V\"", "needs the table [tuner.capacitors]"});
  told(faults_of([] {
         read_any_tuner("[tuner]\nform = \"L\"\ndifferential = true\n[tuner.inductors]\nrange = [\"2 uH\", \"1 uH\"]\n"
                        "[tuner.capacitors]\nrange = [\"1 V\", \"2 V\"]\n",
                        "t.toml");
       }),
       {"only a tuner of form \"T\"", "the least and the most", "\"1 V\""});
}

TEST_CASE("every fault of a brief's whip, wires and kinds of match is told") {
  design::test::BriefParts parts;
  parts.whip = "{ length = [\"4 m\", \"2 m\"], radius = \"0 mm\", metal = \"cheese\" }";
  parts.counterpoise = "{ wires = 7, length = [\"4 m\", \"2 m\"], radius = \"1 kg\", metal = \"wood\" }";
  parts.kinds = "[\"stone\", \"autotransformer\", \"sand\"]";
  parts.more = "[[hat]]\nname = \"hat\"\nspokes = 1\nlength = \"3 kg\"\nradius = \"1 mm\"\nmetal = \"copper\"\n";
  const std::vector<std::string> all = faults_of([&] { read_brief(design::test::brief_text(parts), "b.toml"); });
  for (const std::string& f : all) UNSCOPED_INFO(f);
  CHECK(all.size() == 10);
  const auto count = [&](const std::string& part) {
    return std::count_if(all.begin(), all.end(),
                         [&](const std::string& f) { return f.find(part) != std::string::npos; });
  };
  CHECK(count("\"length\" must be one value, or two in order") == 2);
  for (const char* part : {"\"radius\" in", "\"1 kg\"", "cheese", "wood", "\"wires\" must be", "\"spokes\" must be",
                           "\"3 kg\"", "\"stone\""}) {
    INFO(part);
    CHECK(count(part) == 1);
  }
  CHECK(count("\"sand\"") == 1);  // beside "stone", at the one place of both
  CHECK(count("needs a [coil] table") == 1);
}

TEST_CASE("the faults of a wires file's conditions are told beside those of its wires") {
  told(faults_of([] {
         read_wires("[ground]\nkind = \"wet\"\n[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.2], [0, 0, 4.2]]\nlength "
                    "= \"1 m\"\n"
                    "radius = \"1 kg\"\nmetal = \"wood\"\n[feed]\ngap = \"20 mm\"\n"
                    "[[condition]]\nname = \"a\"\nkind = \"flying\"\nlean_degrees = \"3 m\"\n"
                    "[[condition]]\nname = \"a\"\nground = \"snow\"\ncontact = \"shut\"\n",
                    "w.toml");
       }),
       {"either \"points\" or a \"length\"", "\"length\" stands in place", "\"1 kg\"", "wood", "kind \"flying\"",
        "\"3 m\"", "the name \"a\" is taken", "snow", "\"contact\" must be"});
}
