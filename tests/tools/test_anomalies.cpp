// What goes wrong around the programs: odd files, odd names, odd places, and who stops them. Each run ends with the
// right status, one line a fault that says what would be legal, and no stray file.

#include <sys/stat.h>

#include <fmt/format.h>

#include "cli/output.hpp"
#include "programs.hpp"

using programs::content;
using programs::Folder;
using programs::Run;

namespace {

namespace fs = programs::fs;

const std::string net = "stile-net --frequency 7.1MHz --load 20-300j --quiet ";
const std::string csv = "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.2e6,20,-290\n";

/// With the examples under "examples/", copied, so that they may be written to.
struct WithExamples : Folder {
  WithExamples() {
    for (const char* part : {"moor", "loads", "first_contact"}) {
      fs::create_directories(file("examples"));
      fs::copy(fs::path(STILE_EXAMPLES_FOLDER) / part, file("examples") / part, fs::copy_options::recursive);
    }
  }
};

/// Status 2, nothing on standard output, every line of standard error from the tool and short.
void check_fault(const Run& run, const std::string& tool) {
  INFO(run.err);
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  REQUIRE(!run.err.empty());
  std::istringstream lines(run.err);
  for (std::string line; std::getline(lines, line);) {
    CHECK(line.find(tool + ": ") == 0);
    CHECK(line.size() < 2000);
  }
}

bool any_control(const std::string& text) {
  return std::any_of(text.begin(), text.end(),
                     [](unsigned char c) { return (c < 0x20 && c != '\n' && c != '\r' && c != '\t') || c == 0x7F; });
}

}  // namespace

TEST_CASE("no output replaces what the run reads") {
  const WithExamples folder;
  folder.write("a.csv", csv);
  fs::create_symlink("a.csv", folder.file("link.csv"));
  fs::create_hard_link(folder.file("a.csv"), folder.file("hard.csv"));
  const std::string base = "stile-net --frequency 7.1MHz --load-file a.csv ";
  const auto refused = [&](const std::string& command, const std::string& part) {
    const Run run = folder.run(command);
    INFO(command);
    check_fault(run, command.substr(0, command.find(' ')));
    CHECK(run.err.find(part) != std::string::npos);
    CHECK(run.err.find("; legal: another file") != std::string::npos);
  };
  refused(base + "-o a.csv", "-o would replace \"a.csv\", which --load-file reads");
  refused(base + "--touchstone ./a.csv", "--touchstone would replace \"a.csv\", which --load-file reads");
  refused(base + "-o link.csv", "-o would replace \"a.csv\"");
  refused(base + "-o hard.csv", "-o would replace \"a.csv\"");
  refused("stile-match --frequency 7.1MHz --load-file a.csv -o a.csv", "which --load-file reads");
  refused("stile-sweep examples/loads/whip3m_lifted.s1p --touchstone examples/loads/whip3m_lifted.s1p",
          "which is read");
  refused("stile-sweep examples/loads/whip3m_lifted.s1p --compare a.csv -o a.csv", "which --compare reads");
  refused("stile-range --tuner examples/moor/tuner.toml --frequency 7MHz --load 50 -o examples/moor/tuner.toml",
          "which --tuner reads");
  refused("stile-coil --station examples/moor/coil.toml -o examples/moor/coil.toml", "which --station reads");
  refused("stile-whip examples/moor/whip.toml --frequency 7MHz -o examples/moor/whip.toml", "which is read");
  refused("stile-plan examples/moor/station.toml -o examples/moor/../moor/station.toml", "which is read");
  refused("stile-design examples/moor/two_bands.toml -o examples/moor/two_bands.toml", "which is read");
  // What a station names is read too.
  refused("stile-plan examples/moor/wire.toml -o examples/loads/wire5m_lifted.s1p", "-o would replace \"");
  CHECK(content(folder.file("a.csv")) == csv);
  CHECK(folder.run(base + "--quiet -o b.csv").status == 0);
  // From standard input there is no file to spare; a pipe may go round.
  CHECK(folder
            .run("stile-net --frequency 7MHz --load 50 --touchstone - | stile-net --frequency 7MHz --load-file - -o "
                 "a.csv --quiet")
            .status == 0);
}

TEST_CASE("a file that may not be written to stays, also where root asks") {
  const Folder folder;
  folder.write("a.txt", "old");
  REQUIRE(::chmod(folder.file("a.txt").c_str(), 0444) == 0);
  const Run run = folder.run(net + "-o a.txt");
  check_fault(run, "stile-net");
  CHECK(run.err.find("stile-net: a.txt: cannot be written: Permission denied") == 0);
  CHECK(content(folder.file("a.txt")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"a.txt"});
}

TEST_CASE("links in a circle and folders that are none are told") {
  const Folder folder;
  fs::create_symlink("b", folder.file("a"));
  fs::create_symlink("a", folder.file("b"));
  folder.write("file", "old");
  const auto before = folder.names();
  CHECK(folder.run(net + "-o a").err.find("a: cannot be written: Too many levels of symbolic links") !=
        std::string::npos);
  for (const char* where : {"-o a", "-o file/x", "-o file/", "--touchstone a", "-o /proc/x"})
    check_fault(folder.run(net + where), "stile-net");
  CHECK(folder.names() == before);
  CHECK(content(folder.file("file")) == "old");
}

TEST_CASE("the longest name that the folder takes is written, a longer one is told") {
  const Folder folder;
  const std::string longest(255, 'n');
  CHECK(folder.run(net + "-o " + longest).status == 0);
  CHECK(folder.names() == std::vector<std::string>{longest});
  const std::string other = std::string(250, 'n') + "1.txt", third = std::string(250, 'n') + "2.s1p";
  CHECK(folder.run(net + "-o " + other + " --touchstone " + third).status == 0);  // alike but for the end
  CHECK(content(folder.file(third)).find("# Hz Z RI") != std::string::npos);
  CHECK(folder.names().size() == 3);
  const Run run = folder.run(net + "-o n" + longest);
  check_fault(run, "stile-net");
  CHECK(run.err.find("File name too long") != std::string::npos);
  CHECK(folder.names().size() == 3);
}

TEST_CASE("a limit on the size of files is an error of the write and kills nobody") {
  const Folder folder;
  folder.write("old.json", "old");
  const Run run = folder.run("ulimit -f 1; " + net + "--json -o old.json");
  check_fault(run, "stile-net");
  CHECK(run.err.find("old.json: cannot be written: File too large") != std::string::npos);
  check_fault(folder.run("ulimit -f 1; " + net + "--json --chart a.svg -o a.json"), "stile-net");
  CHECK(content(folder.file("old.json")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"old.json"});
}

TEST_CASE("a standard stream that is closed takes no file's place") {
  const Folder folder;
  const Run out = folder.run(net + ">&-");
  check_fault(out, "stile-net");
  CHECK(out.err.find("standard output: cannot be written: Bad file descriptor") != std::string::npos);
  CHECK(folder.run(net + "--touchstone a.s1p -o b.txt >&-").status == 0);  // nothing is meant for it
  folder.write("two.csv", csv.substr(0, csv.find('\n')) + ",mood\n7e6,20,-310,1\n7.2e6,20,-290,2\n");
  const std::string warns = "stile-net --frequency 7.1MHz --load-file two.csv -o c.txt --chart c.svg ";
  CHECK(folder.run(warns + "2>&-").status == 0);
  CHECK(content(folder.file("c.txt")).find("warning") == std::string::npos);
  CHECK(content(folder.file("c.svg")).find("</svg>") != std::string::npos);
  check_fault(folder.run("stile-net --frequency 7.1MHz --load-file - <&-"), "stile-net");
  CHECK(folder.names() == std::vector<std::string>{"a.s1p", "b.txt", "c.svg", "c.txt", "two.csv"});
}

TEST_CASE("empty, binary, huge and Latin-1 input is refused by every reader in short lines with the file's name") {
  const WithExamples folder;
  struct Entrance {
    std::string command, file;
  };
  const std::vector<Entrance> entrances{
      {"stile-net --frequency 7.1MHz --load-file odd.csv", "odd.csv"},
      {"stile-net --frequency 7.1MHz --load-file odd.s1p", "odd.s1p"},
      {"stile-sweep odd.s1p", "odd.s1p"},
      {"stile-sweep odd.csv", "odd.csv"},
      {"stile-sweep examples/loads/whip3m_lifted.s1p --log odd.csv", "odd.csv"},
      {"stile-sweep examples/loads/whip3m_lifted.s1p --relays odd.csv", "odd.csv"},
      {"stile-range --tuner odd.toml --frequency 7.1MHz --load 50", "odd.toml"},
      {"stile-coil --station odd.toml", "odd.toml"},
      {"stile-whip odd.toml --frequency 7.1MHz", "odd.toml"},
      {"stile-whip examples/moor/whip.toml --frequency 7.1MHz --exposure --power 5W --levels odd.csv", "odd.csv"},
      {"stile-plan odd.toml", "odd.toml"},
      {"stile-design odd.toml", "odd.toml"}};
  std::string noise;
  for (unsigned n = 0, state = 1; n < 3000; ++n)
    noise += static_cast<char>((state = state * 1664525U + 1013904223U) >> 24U);
  const std::vector<std::string> odd{"",
                                     "\n\n",
                                     std::string(200, '\0'),
                                     noise,
                                     "name = \"\xe4\xf6\"\n\xb5 1\n",
                                     "\xEF\xBB\xBF",
                                     std::string(3000000, 'x'),
                                     "\"" + std::string(1000000, 'y') + "\" = 3\n"};
  const auto before = folder.names();
  for (const Entrance& e : entrances) {
    for (const std::string& text : odd) {
      folder.write(e.file, text);
      const Run run = folder.run(e.command);
      INFO(e.command << ", input of " << text.size() << " bytes: " << text.substr(0, 20));
      check_fault(run, e.command.substr(0, e.command.find(' ')));
      CHECK(!any_control(run.err));
      CHECK(run.err.find(e.file) != std::string::npos);
      fs::remove(folder.file(e.file));
    }
  }
  CHECK(folder.names() == before);
}

TEST_CASE("a NUL in a cell is told with its place, and the message goes on behind it") {
  const Folder folder;
  folder.write("n.csv", "frequency_hz,r_ohm,x_ohm\n7e6,2" + std::string(1, '\0') + "0,-310\n7.2e6,20,-290\n");
  const Run run = folder.run("stile-net --frequency 7.1MHz --load-file n.csv");
  check_fault(run, "stile-net");
  CHECK(run.err.find("stile-net: n.csv:2:6: \"2\\00\": ") == 0);
  CHECK(run.err.find("legal") != std::string::npos);
}

TEST_CASE("a byte order mark and ends of lines as other systems write them change nothing") {
  const WithExamples folder;
  const std::string touchstone = "# MHz S RI R 50\n7.0 0.2 0.1\n7.1 0.2 0.11\n7.2 0.2 0.12\n";
  struct Kind {
    std::string command, name, text;
  };
  const std::vector<Kind> kinds{{"stile-net --frequency 7.1MHz --json --load-file ", "a.csv", csv},
                                {"stile-net --frequency 7.1MHz --json --load-file ", "a.s1p", touchstone},
                                {"stile-sweep --json ", "a.s1p", touchstone},
                                {"stile-sweep --json ", "a.csv", csv},
                                {"stile-range --json --frequency 7MHz --load 50 --tuner ", "a.toml",
                                 content(folder.file("examples/moor/tuner.toml"))}};
  for (const Kind& kind : kinds) {
    folder.write(kind.name, kind.text);
    const Run plain = folder.run(kind.command + kind.name);
    INFO(kind.command << kind.name << "\n" << plain.err);
    REQUIRE(plain.status == 0);
    std::string crlf;
    for (const char c : kind.text) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    for (const std::string& text : {"\xEF\xBB\xBF" + kind.text, crlf, "\xEF\xBB\xBF" + crlf}) {
      folder.write(kind.name, text);
      CHECK(folder.run(kind.command + kind.name).out == plain.out);
    }
  }
}

TEST_CASE("names with blanks, dashes, quotes and line breaks are names like others") {
  const Folder folder;
  for (const std::string& name : {std::string("a b"), std::string("-a"), std::string("--json"), std::string("it's"),
                                  std::string("a\nb"), std::string("$(touch bad)"), std::string("\xc3\xa4")}) {
    folder.write(name + ".csv", csv);
    std::string quoted;
    for (const char c : "./" + name) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
    const Run run = folder.run("stile-net --frequency 7.1MHz --load-file '" + quoted + ".csv' --series L=1uH -o '" +
                               quoted + ".txt' --chart '" + quoted + ".svg' --touchstone '" + quoted + ".s1p'");
    INFO(name << "\n" << run.err);
    CHECK(run.status == 0);
    for (const char* ending : {".csv", ".txt", ".svg", ".s1p"}) {
      CHECK(!content(folder.file(name + ending)).empty());
      fs::remove(folder.file(name + ending));
    }
    CHECK(folder.names().empty());
  }
}

TEST_CASE("no terminal gets an order from a name, and a picture with an odd name stays XML") {
  using stile::tools::printable;
  CHECK(printable("plain \xc3\xa4\xe2\x84\xa6\xf0\x9f\x93\xa1\tx\n") ==
        "plain \xc3\xa4\xe2\x84\xa6\xf0\x9f\x93\xa1\tx\n");
  CHECK(printable("\x1b[31m\x7f\r") == "\\x1b[31m\\x7f\\x0d");
  CHECK(printable("\xff\xc3(\xc2\x9b\xc0\x80\xed\xa0\x80\xf5") ==
        "\\xff\\xc3(\\xc2\\x9b\\xc0\\x80\\xed\\xa0\\x80\\xf5");
  const Folder folder;
  const std::string name = "b\xff\x1b[31mX.csv";
  folder.write(name, csv);
  const std::string use = "stile-net --load-file b*X.csv --series L=1uH ";
  const Run wrong = folder.run(use + "--frequency 9MHz");
  check_fault(wrong, "stile-net");
  CHECK(wrong.err.find("load \"b\\xff\\x1b[31mX\"") != std::string::npos);
  const Run option = folder.run("stile-net --load 50 --frequency 7MHz $'--x\\e[31m'");
  check_fault(option, "stile-net");
  CHECK(!any_control(option.err));
  for (const std::string& format : {std::string(), std::string("--csv"), std::string("--json")}) {
    const Run shown = folder.run("script -qec '" + use + "--frequency 7.1MHz " + format + "' /dev/null");
    INFO(shown.out);
    CHECK(shown.status == 0);
    CHECK(!any_control(shown.out));
    CHECK(shown.out.find('\xff') == std::string::npos);
  }
  REQUIRE(folder.run(use + "--frequency 7.1MHz --chart a.svg -o a.txt").status == 0);
  CHECK(folder.run("iconv -f UTF-8 -t UTF-8 a.svg >/dev/null").status == 0);
  CHECK(!any_control(content(folder.file("a.svg"))));
}

TEST_CASE("an absurd value is told with its place") {
  const Folder folder;
  const std::string size = "absurdly large or small; legal: 0, or 1e-40 to 1e40 in SI units";
  for (const char* option : {"--load 1e300", "--load 5-1e41j", "--load 1e-41", "--load 50 --source 1e300",
                             "--load 50 --power 1e-320", "--load 50 --series L=1e300H", "--load 50 --shunt C=1e-320F",
                             "--load 50 --series R=1e41", "--load 50 --swr 1e308"}) {
    const Run run = folder.run("stile-net --frequency 7.1MHz " + std::string(option));
    INFO(option);
    check_fault(run, "stile-net");
    CHECK(run.err.find(": column ") != std::string::npos);
    CHECK(run.err.find(size) != std::string::npos);
  }
  for (const char* command : {"stile-net --frequency 1e300 --load 50", "stile-match --frequency 7MHz --load 1e300",
                              "stile-match --one-setting --frequency 7MHz --load 1e300",
                              "stile-coil --turns 5 --diameter 1e300 --pitch 2mm --wire 1mm --frequency 7MHz"}) {
    const Run run = folder.run(command);
    INFO(command << run.err);
    CHECK(run.status == 2);
    CHECK(run.err.find(size) != std::string::npos);
  }
  // The ends themselves are computed with.
  for (const char* load : {"1e40", "1e-40", "1e40-1e40j", "0+1e-40j"}) {
    const Run run = folder.run("stile-net --frequency 7.1MHz --json --load " + std::string(load));
    INFO(load << run.err);
    REQUIRE(run.status == 0);
    const auto swr = run.json().at("points").at(0).at("swr");
    CHECK((swr.is_null() || swr.get<double>() >= 1.0));
  }
}

TEST_CASE("no message quotes kilobytes") {
  const WithExamples folder;
  const std::string much(100000, 'a');
  folder.write("a.csv", "frequency_hz,r_ohm,x_ohm," + much + "\n7e6," + much + ",1,2\n");
  folder.write("t.toml", "[tuner]\nform = \"" + much + "\"\n");
  folder.write("s.toml", "[station]\nname = 3\n[[band]]\nname = \"x\"\nlow = \"" + much + "\"\n" + much + " = 2\n");
  folder.write("long", much);
  for (const char* command :
       {"stile-net --frequency 7MHz --load-file a.csv", "stile-range --tuner t.toml --frequency 7MHz --load 50",
        "stile-plan s.toml", "stile-net --load 50 --frequency \"$(cat long)\"",
        "stile-net --load 50 --frequency 7MHz \"$(cat long)\"",
        "stile-net --load 50 --frequency 7MHz --load-file \"$(cat long)\"",
        "stile-whip \"$(cat long)\" --frequency 7MHz"}) {
    const Run run = folder.run(command);
    INFO(command);
    check_fault(run, std::string(command).substr(0, std::string(command).find(' ')));
    CHECK(run.err.size() < 6000);
  }
}

TEST_CASE("a locale with a decimal comma changes no byte") {
  const Folder folder;
  const std::string chart = "stile-net --sweep 7MHz:7.2MHz:5 --load 20-300j --series L=6.7uH ";
  // Where the machine has no such locale it is made; where it cannot be made the variables alone are there.
  folder.run("localedef -i de_DE -f UTF-8 ./de_DE.UTF-8 >made 2>&1");
  const std::string comma = "export LOCPATH=$PWD LC_ALL=de_DE.UTF-8 LANG=de_DE.UTF-8 LC_NUMERIC=de_DE.UTF-8\n";
  if (folder.run(comma + "locale decimal_point").out != ",\n")
    WARN("no locale with a decimal comma can be made here: only its variables are tried");
  for (const char* format : {"", "--json", "--csv"}) {
    const Run plain = folder.run(chart + format);
    REQUIRE(plain.status == 0);
    CHECK(folder.run(comma + chart + format).out == plain.out);
  }
  folder.write("a.csv", csv);
  CHECK(folder.run(comma + "stile-net --frequency 7.1MHz --load-file a.csv --csv").out ==
        folder.run("stile-net --frequency 7.1MHz --load-file a.csv --csv").out);
  REQUIRE(folder.run(chart + "--chart a.svg -o a.txt").status == 0);
  REQUIRE(folder.run(comma + chart + "--chart b.svg -o b.txt").status == 0);
  CHECK(content(folder.file("a.svg")) == content(folder.file("b.svg")));
}

TEST_CASE("without a home a chart is drawn, and where nothing temporary may be written it is told") {
  const Folder folder;
  REQUIRE(folder.run("unset HOME XDG_CACHE_HOME XDG_CONFIG_HOME; " + net + "--chart a.png -o a.txt").status == 0);
  CHECK(content(folder.file("a.png")).find("\x89PNG") == 0);
  const auto before = folder.names();
  const Run run = folder.run("export TMPDIR=/proc; " + net + "--chart b.png -o b.txt");
  check_fault(run, "stile-net");
  CHECK(run.err.find("/proc: cannot write there") != std::string::npos);
  CHECK(folder.names() == before);
  CHECK(folder.run("export TMPDIR=/proc; " + net + "-o b.txt").status == 0);  // nothing drawn, nothing needed
  for (const char* place : {"/none", "\"$PWD/a.txt\""})                       // no folder at all: the system's own
    CHECK(folder.run(std::string("export TMPDIR=") + place + "; " + net + "--chart a.png -o a.txt").status == 0);
}

TEST_CASE("two runs at once into one folder leave it whole") {
  const Folder folder;
  folder.write("station.toml", programs::small_station);
  const std::string plan = "stile-plan station.toml --quiet --report out/report ";
  const Run run = folder.run(plan + ">1 & a=$!; " + plan + ">2 & b=$!; wait $a; one=$?; wait $b; echo $one $?");
  INFO(run.err);
  REQUIRE(run.out.size() == 4);
  CHECK(run.out[0] == run.out[2]);
  CHECK(run.out[0] != '2');
  CHECK(content(folder.file("1")) == content(folder.file("2")));
  const auto names = [&](const char* of) {
    std::vector<std::string> all;
    for (const auto& entry : fs::directory_iterator(folder.file(of))) all.push_back(entry.path().filename().string());
    std::sort(all.begin(), all.end());
    return all;
  };
  REQUIRE(folder.run("stile-plan station.toml --quiet --report alone >3").status != 2);
  CHECK(names("out/report") == names("alone"));
  CHECK_NOTHROW(nlohmann::json::parse(content(folder.file("out/report/plan.json"))));
  CHECK(content(folder.file("out/report/report.html")).find("</html>") != std::string::npos);
}

TEST_CASE("Ctrl-C or TERM ends each of these long jobs by the signal, with nothing left") {
  const WithExamples folder;
  folder.write("relays.toml", "[tuner]\nform = \"pi\"\n[tuner.inductors]\nvalues = [1e-7, 2e-7, 4e-7, 8e-7, 1.6e-6, "
                              "3.2e-6, 6.4e-6]\n[tuner.capacitors]\n"
                              "values = [1e-11, 2e-11, 4e-11, 8e-11, 1.6e-10, 3.2e-10, 6.4e-10]\n");
  const std::vector<std::string> jobs{
      "stile-whip examples/moor/whip.toml --sweep 3MHz:30MHz:3000 -o r.txt --touchstone r.s1p --chart r.png",
      "stile-plan examples/moor/wire.toml -o r.txt --report new/report",
      "stile-plan examples/moor/wire.toml --vary parts.inductor_q=100:300:9 -o r.txt",
      "stile-range --tuner relays.toml --frequency 7MHz --map loss --cells 2000 --csv -o r.csv",
      "stile-range --tuner examples/moor/station.toml --whip-study -o r.txt",
      "stile-sweep examples/loads/whip3m_heather.s1p --calibrate examples/moor/whip.toml --condition 'on heather' -o "
      "r.txt",
      "stile-coil --station examples/moor/coil.toml --former 30mm,40mm,50mm,60mm --wire 1mm,1.5mm --spacing "
      "0.3,0.4,0.5,0.6 -o r.txt"};
  const auto before = folder.names();
  for (const std::string& job : jobs) {
    for (const bool term : {false, true}) {
      const Run run = folder.run("set -m; " + job + " & tool=$!; sleep 0.4; kill -" + (term ? "TERM" : "INT") +
                                 " $tool; wait $tool; echo $?");
      INFO(job << "\n" << run.err);
      CHECK(run.out == (term ? "143\n" : "130\n"));
      CHECK(folder.names() == before);
    }
  }
}
