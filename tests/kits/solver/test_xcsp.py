"""The reader of XCSP 2.1 and 3, on files small enough to read here."""

from pathlib import Path

import pytest

from kits.solver import Network, NetworkError, Table, compile, read_xcsp

VERSION_2 = """
<instance>
  <presentation format="XCSP 2.1" type="CSP"/>
  <domains nbDomains="2">
    <domain name="sizes" nbValues="4"> 1..3 7 </domain>
    <domain name="optional" nbValues="2"> -1 0 </domain>
  </domains>
  <variables nbVariables="2">
    <variable name="spacer" domain="sizes"/>
    <variable name="shroud" domain="optional"/>
  </variables>
  <relations nbRelations="3">
    <relation name="r0" arity="2" nbTuples="3" semantics="supports"> 1 -1 | 2 0
      | 7 0 </relation>
    <relation name="r1" arity="1" nbTuples="1" semantics="conflicts"> 7 </relation>
    <relation name="none" arity="1" nbTuples="0" semantics="conflicts"></relation>
  </relations>
  <constraints nbConstraints="3">
    <constraint name="c0" arity="2" scope="spacer shroud" reference="r0"/>
    <constraint name="c1" arity="1" scope="spacer" reference="r1"/>
    <constraint name="c2" arity="1" scope="shroud" reference="none"/>
  </constraints>
</instance>
"""

VERSION_3 = """
<instance format="XCSP3" type="CSP">
  <variables>
    <var id="spacer"> 1..3 7 </var>
    <var id="shim" as="spacer"/>
    <array id="hose" size="[2]"> -1 0 </array>
  </variables>
  <constraints>
    <extension id="e0">
      <list> spacer hose[0] </list>
      <supports> (1,-1)(2, 0)
                 (7,0) </supports>
    </extension>
    <extension><list> shim </list><conflicts> 1..2 7 </conflicts></extension>
    <group>
      <extension><list> %1 %0 </list><conflicts> (-1,7) </conflicts></extension>
      <args> spacer hose[0] </args>
      <args> shim hose[1] </args>
    </group>
    <group id="rest">
      <extension><list> %... </list><supports></supports></extension>
      <args> hose[0] hose[1] </args>
    </group>
  </constraints>
</instance>
"""


def read(tmp_path: Path, text: str) -> Network:
    file = tmp_path / "instance.xml"
    file.write_text(text)
    return read_xcsp(str(file))


def test_version_2_is_read(tmp_path: Path) -> None:
    network = read(tmp_path, VERSION_2)
    assert network.variables == {"spacer": (1, 2, 3, 7), "shroud": (-1, 0)}
    assert network.tables == (
        Table(("spacer", "shroud"), [(1, -1), (2, 0), (7, 0)], True, "c0"),
        Table(("spacer",), [(7,)], False, "c1"),
        Table(("shroud",), [], False, "c2"),
    )
    assert compile(network).options({"shroud": 0})["spacer"] == {1: None, 2: 0, 3: None, 7: None}


def test_version_3_is_read(tmp_path: Path) -> None:
    network = read(tmp_path, VERSION_3)
    assert network.variables == {
        "spacer": (1, 2, 3, 7), "shim": (1, 2, 3, 7), "hose[0]": (-1, 0), "hose[1]": (-1, 0),
    }  # fmt: skip
    assert network.tables == (
        Table(("spacer", "hose[0]"), [(1, -1), (2, 0), (7, 0)], True, "e0"),
        Table(("shim",), [(1,), (2,), (7,)], False),
        Table(("hose[0]", "spacer"), [(-1, 7)], False),
        Table(("hose[1]", "shim"), [(-1, 7)], False),
        Table(("hose[0]", "hose[1]"), [], True),
    )


def of_version_3(variables: str, constraints: str = "") -> str:
    return f"<instance><variables>{variables}</variables><constraints>{constraints}</constraints></instance>"


VAR = "<var id='x'> 0 1 </var><var id='y'> 0 1 </var>"
EXTENSION = "<extension><list>{}</list><supports>{}</supports></extension>"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("<instance>", "cannot be read as XML"),
        ("<kit/>", "expected instance"),
        ("<instance><objectives/></instance>", "objective"),
        ("<instance><variables/></instance>", "one variable or more"),
        (VERSION_2.replace('reference="r1"', 'reference="sum"'), "c1 refers to sum, no table"),
        (VERSION_2.replace('"supports"', '"soft"'), "c0 refers to r0, no table of supports or conflicts"),
        (VERSION_2.replace('domain="sizes"', 'domain="lost"'), "'lost' is asked for"),
        (VERSION_2.replace("1 -1 |", "1 -1 2 |"), "a row of 3 values for 2"),
        (VERSION_2.replace("1 -1 |", "1 -9 |"), "shroud = -9, which is no value"),
        (VERSION_2.replace("7 </domain>", "red </domain>"), "'red' is no whole number"),
        (of_version_3("<var id='x' as='z'/>"), "'z' is asked for"),
        (of_version_3("<array id='a' size='[2][3]'> 0 1 </array>"), "only one row is read"),
        (of_version_3("<array id='a' size='[2]'><domain for='a[0]'> 0 </domain></array>"), "array a is not"),
        (of_version_3(VAR, "<allDifferent> x y </allDifferent>"), "'allDifferent' is not read"),
        (of_version_3(VAR, "<group><sum/><args> x </args></group>"), "group without an extension"),
        (of_version_3(VAR, EXTENSION.format("x y", "(0,*)")), "'[*]' is no whole number"),
        (of_version_3(VAR, EXTENSION.format("x z", "(0,0)")), "'z', which is no variable"),
        (of_version_3(VAR, EXTENSION.format("x y", "(0,0,0)")), "a row of 3 values for 2"),
        (
            of_version_3(VAR, f"<group>{EXTENSION.format('%0 %2', '(0,0)')}<args> x y </args></group>"),
            "%2, for which it has no argument",
        ),
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused_by_name(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(NetworkError, match=said):
        read(tmp_path, text)
