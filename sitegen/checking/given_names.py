"""Given names that children bear in many places, in small letters: for telling a code from a name."""

from __future__ import annotations

_NAMES = """
aaron abigail ada adam adele adrian agnes ahmed aiden alba albert alec alejandro alessandro alex alexander alexandra
alexis ali alice alina alma amelia amir amy ana anastasia andre andrea andreas andrew anna anne annika anton antonia
antonio anya archie aria arthur astrid aurora ava axel barbara bea beatrice ben benedikt benjamin bernd bianca bjorn
boris bruno camila carl carla carlos caroline catherine cecilia charles charlie charlotte chiara chloe chris christian
christina clara claudia clemens conrad cora daisy daniel daniela david dean diana diego dmitri dominik dora dylan
eddie edith eduard edward elena eleni eli elias elif eliza elizabeth ella ellen elliot elsa emil emilia emily emma
emmanuel enzo eric erik erika ethan eva evelyn evie fabian fatima felix fernanda filip finn fiona flora florence
florian frank franz freddie freya frida friedrich fritz gabriel gabriela georg george giulia grace greta gustav hana
hanna hannah hannes harper harriet harry hassan heidi helen helena henri henrik henry hugo ian ibrahim ida igor ines
ingrid irene iris isaac isabel isabella isla ivan jack jacob jakob james jan jana jane jasmin jasper jean jenny joe
joel johan johann johannes john jonas jonathan josef joseph josephine joshua juan judith julia julian julie julius kai
karin karl karla kate katharina katherine katie katja kevin kim klara konrad konstantin lara lars laura lea leah lena
leo leon leonard leonie levi liam lilly lily lina linus lisa logan lola lorenz lotta lotte louis louisa louise luca
lucas lucia lucy ludwig luis luisa lukas luna lydia madeleine magdalena maja malik manuel marc marco margaret maria
marie marina mario marion mark marlene marta martha martin mary mateo mathilda matilda matteo matthew matthias max
maximilian maya megan mehmet mei melanie mia michael mika mikael mila millie milo mina miriam mohammed moritz muhammad
nadia nathan nele nico nicolas nicole niklas nikolai nils nina noah noel nora olga oliver olivia omar oscar oskar otto
pablo paolo patrick paul paula pauline pedro peter petra philip philipp pia pierre rachel rafael ralf ravi rebecca
richard rita robert robin roman rosa rosie ruben ruby ruth sam samira samuel sara sarah scarlett sebastian selma
sergei silas simon sofia sofie sonja sophia sophie stefan stella stephen sven svenja tanja tara thea theo theodor
theresa thomas till tim timo tina tobias tom tommy toni tristan uma ursula valentin valentina vanessa vera victor
victoria viktor vincent viola walter wilhelm willem william willow xavier yara yasmin yuki yuna yusuf zara zeynep zoe
"""

GIVEN_NAMES = frozenset(_NAMES.split())
