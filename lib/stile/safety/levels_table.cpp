#include <stile/safety/levels.hpp>

namespace stile::safety {

const char* published_levels_table() {
  return R"csv(standard,group,scope,low_mhz,high_mhz,e_v_m,h_a_m,s_w_m2,averaging_min,status,source,note
47 CFR 1.1310,occupational,whole body,0.3,3,614,1.63,1000,6,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",printed in mW/cm2; power density below 30 MHz: plane-wave equivalent only
47 CFR 1.1310,occupational,whole body,3,30,1842/f,4.89/f,9000/f^2,6,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",printed in mW/cm2; power density below 30 MHz: plane-wave equivalent only
47 CFR 1.1310,occupational,whole body,30,300,61.4,0.163,10,6,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",power density printed in mW/cm2
47 CFR 1.1310,general public,whole body,0.3,1.34,614,1.63,1000,30,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",printed in mW/cm2; power density below 30 MHz: plane-wave equivalent only
47 CFR 1.1310,general public,whole body,1.34,30,824/f,2.19/f,1800/f^2,30,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",printed in mW/cm2; power density below 30 MHz: plane-wave equivalent only
47 CFR 1.1310,general public,whole body,30,300,27.5,0.073,2,30,official text seen,"47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)",power density printed in mW/cm2
ICNIRP 2020,general public,whole body,0.1,30,300/f^0.7,2.2/f,,30,"seen second-hand, from memory","ICNIRP, Health Physics 118(5):483-524, 2020, Table 5","E and absence of S: seen second-hand; H: from memory, continuous with the next row (2.2/30 = 0.0733)"
ICNIRP 2020,general public,whole body,30,400,27.7,0.073,2,30,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 5",
ICNIRP 2020,occupational,whole body,0.1,30,660/f^0.7,4.9/f,,30,from memory,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 5",continuous with the 30-400 MHz row: 660/30^0.7=61.0
ICNIRP 2020,occupational,whole body,30,400,61,0.16,10,30,from memory,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 5",
ICNIRP 2020,general public,local,0.1,30,671/f^0.7,4.9/f,,6,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 6",peak spatial E and H over the projected body; both must be met
ICNIRP 2020,general public,local,30,400,62,0.163,10,6,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 6",
ICNIRP 2020,occupational,local,0.1,30,1504/f^0.7,10.8/f,,6,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 6",
ICNIRP 2020,occupational,local,30,400,139,0.36,50,6,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 6",
ICNIRP 2020,general public,not averaged,0.1,10,83,21,,0,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 8","rms, key down; that it is not averaged is seen second-hand, wording of the table not seen"
ICNIRP 2020,occupational,not averaged,0.1,10,170,80,,0,seen second-hand,"ICNIRP, Health Physics 118(5):483-524, 2020, Table 8","rms, key down; that it is not averaged is seen second-hand, wording of the table not seen"
ICNIRP 1998,general public,whole body,0.15,1,87,0.73/f,,6,seen second-hand,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
ICNIRP 1998,general public,whole body,1,10,87/f^0.5,0.73/f,,6,seen second-hand,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
ICNIRP 1998,general public,whole body,10,300,28,0.073,2,6,from memory,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
ICNIRP 1998,occupational,whole body,0.1,1,610,1.6/f,,6,seen second-hand,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
ICNIRP 1998,occupational,whole body,1,10,610/f,1.6/f,,6,seen second-hand,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
ICNIRP 1998,occupational,whole body,10,300,61,0.16,10,6,from memory,"ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7",peak field factor 1.5 at 100 kHz rising to 32 at 10 MHz and above
IEEE C95.1-2019,unrestricted,whole body,0.1,1.34,614,16.3/f,1000,30,from memory,"IEEE Std C95.1-2019, Table 7",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,whole body,1.34,30,823.8/f,16.3/f,1800/f^2,30,from memory,"IEEE Std C95.1-2019, Table 7",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,whole body,30,100,27.5,158.3/f^1.668,2,30,from memory,"IEEE Std C95.1-2019, Table 7",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,whole body,100,400,27.5,0.0729,2,30,from memory,"IEEE Std C95.1-2019, Table 7",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,whole body,0.1,1.0,1842,16.3/f,9000,30,from memory,"IEEE Std C95.1-2019, Table 8",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,whole body,1.0,30,1842/f,16.3/f,9000/f^2,30,from memory,"IEEE Std C95.1-2019, Table 8",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,whole body,30,100,61.4,16.3/f,10,30,from memory,"IEEE Std C95.1-2019, Table 8",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,local,0.1,1.34,1373,36.4/f,,6,seen second-hand,"IEEE Std C95.1-2019, Table 9",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,local,1.34,30,1842/f,36.4/f,,6,seen second-hand,"IEEE Std C95.1-2019, Table 9",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,unrestricted,local,30,100,61.4,,,6,seen second-hand,"IEEE Std C95.1-2019, Table 9",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,local,0.1,1.0,4119,36.4/f,,6,seen second-hand,"IEEE Std C95.1-2019, Table 10",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,local,1.0,30,4119/f,36.4/f,,6,seen second-hand,"IEEE Std C95.1-2019, Table 10",local = whole body x sqrt(5)=2.236; averaging times from memory
IEEE C95.1-2019,restricted,local,30,100,137.3,36.4/f,,6,seen second-hand,"IEEE Std C95.1-2019, Table 10",local = whole body x sqrt(5)=2.236; averaging times from memory
Safety Code 6 (2015),general public,whole body,1.1,10,87/f^0.5,0.73/f,,6,seen second-hand,"Health Canada, Safety Code 6, 2015, Tables 3 to 6",lower edge of the E row from memory
Safety Code 6 (2015),general public,whole body,10,20,27.46,0.0728,2,6,"seen second-hand, derived","Health Canada, Safety Code 6, 2015, Tables 3 to 6",S seen second-hand; E and H derived from S with 377 ohm
Safety Code 6 (2015),general public,whole body,20,48,58.07/f^0.25,0.1540/f^0.25,8.944/f^0.5,6,"seen second-hand, derived","Health Canada, Safety Code 6, 2015, Tables 3 to 6",S seen second-hand; E and H derived from S with 377 ohm
Safety Code 6 (2015),occupational,whole body,1.29,10,193/f^0.5,1.6/f,,6,seen second-hand,"Health Canada, Safety Code 6, 2015, Tables 3 to 6",lower edge from memory
Safety Code 6 (2015),occupational,whole body,10,20,61.4,0.163,10,6,"seen second-hand, derived","Health Canada, Safety Code 6, 2015, Tables 3 to 6",S seen second-hand; E and H derived from S with 377 ohm
Safety Code 6 (2015),occupational,whole body,20,48,129.8/f^0.25,0.3444/f^0.25,44.72/f^0.5,6,"seen second-hand, derived","Health Canada, Safety Code 6, 2015, Tables 3 to 6",S seen second-hand; E and H derived from S with 377 ohm
Safety Code 6 (2015),general public,not averaged,0.003,10,83,90,,0,seen second-hand,"Health Canada, Safety Code 6, 2015, Tables 3 to 6","stimulation, not averaged"
Safety Code 6 (2015),occupational,not averaged,0.003,10,170,180,,0,seen second-hand,"Health Canada, Safety Code 6, 2015, Tables 3 to 6","stimulation, not averaged"
)csv";
}

}  // namespace stile::safety
