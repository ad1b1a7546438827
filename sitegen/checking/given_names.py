"""Given names that children bear in many places, in small letters without accents: for telling a code from a
name."""

from __future__ import annotations

_NAMES = """
aarav aaron abigail ada adam adele aditi aditya adrian adriana agnes agnieszka agustin ahmed aiden aiko aino aisha akira
alba albert alec alejandro aleksander aleksandra aleksey alena alessandra alessandro alessia alex alexander alexandra
alexey alexis aleyna ali alice alicia alina alma alvaro amal amelia amelie amir amy ana ananya anastasia anastasiya
anders andre andrea andreas andres andrew andrey anil anjali anna anne annika antoine anton antonella antonia antonio
antti anya aoife archie aria arjun arne arthur astrid aurora ava avi axel ayse aziz barbara bartosz bea beata beatrice
beatriz ben benedikt benjamin berat bernd bianca birgit bjarne bjorn bogdan boris bozena britta bruna bruno burak camila
camille carl carla carlos carmen caroline catalina caterina catherine cecilia celine cem charles charlie charlotte
chiara chloe chris christian christina ciara clara claudia clemens clement conor conrad cora cristina daisy daniel
daniela danuta dariusz darya david davide dean declan deepak deniz diana diego dimitris diya dmitri dmitriy dmitry
dominik dominika dora dorota dylan ebba ebru ece eddie edith edoardo eduard eduardo edward eero eeva einar eirik eitan
ekaterina elena eleni eli elias elif elin elisa eliza elizabeth ella ellen elliot elodie elsa emelie emil emile emilia
emily emine emma emmanuel emre enrique enzo eoin eric erik erika esra esteban ethan etienne eva evelyn evie ewa fabian
fatih fatima fatma federica federico felipe felix fergus ferhat fernanda filip filippo finn fiona fionn flora florence
florian francesca francesco francisco francois frank franz freddie freya frida friedrich fritz frode gabriel gabriela
gaia galina gamze gareth georg george giacomo gianluca giorgia giorgio giorgos giovanni giulia giuseppe gonzalo grace
greta grzegorz guadalupe guillaume gunnar gustav gwen hakan hakon halil halina hana hanna hannah hannes harper harriet
harry haruto hassan hatice hector hege heidi heikki helen helena henri henrik henry hiroshi hugo huseyin hussein ian
ibrahim ida ignacio igor ines ingeborg ingrid irene irina iris isaac isabel isabella ishaan isla ismail itai ivan iveta
jack jacob jacques jadwiga jakob jakub james jan jana jane janusz jari jaroslav jasmin jasper javier jean jeanne jenny
jerome jerzy jimena jiri jisoo jitka joana joanna joao joaquin joe joel johan johann johannes john jonas jonathan jorge
jorgen jose josef joseph josephine joshua juan judith julia julian julie julien julieta julius jurgen jussi kacper kai
kaisa kaito kamil karin karl karla kasia katarzyna kate katharina katherine kati katie katja katya kavya keiko kemal
kenji kevin khadija khalid kim kirsten kjell klara konrad konstantin kostas kristin krystyna krzysztof kseniya lakshmi
lara lars lasse laura layla lea leah leif lena lenka leo leon leonard leonardo leonie leticia levi leyla liam lilly lily
lina linh linnea linus lisa logan lola lorenz lorenzo lotta lotte louis louisa louise lourdes luca lucas lucia luciana
lucie lucy ludovica ludwig luigi luis luisa lukas lukasz luna lydia madeleine maeve magda magdalena magnus maja
malgorzata malik manon manuel marc marcela marco marek maren margaret margaux maria mariam mariana marie marina mario
marion mariya mark marlene marta martha martin martina mary maryam masha mateo mateusz mathias mathieu mathilda mathis
matilda matteo matthew matthias matti mattia max maxime maximilian maya meera megan mehmet mei melanie melike merve
mette mia michael michal michele miguel mika mikael mikhail mikko mila milena millie milo milos mina minjun miriam
misaki misha mohamed mohammed monica monika moritz morten moshe muhammad mustafa nadia nanna natalia nataliya natasha
nathalie nathan neha nele nguyen niamh nico nicolas nicole nicolo nikita niklas nikolai nikolay nikos nils nina nisha
noa noah noam noel noemie nora nour nuria oksana olav ole olena olga oliver olivia omar omer ondrej onur oscar oskar
osman otto owen ozlem pablo padraig paivi paolo pascal patrick paul paula pauline paulo pavel pawel pedro pekka peter
petr petra petya philip philipp pia pierre pietro piotr polina pooja pranav priya rachel radek rafael rahul ralf rania
raquel rasmus ravi rebecca remi renata rene rhys ricardo riccardo richard riikka rita rivka robert roberta robin rocio
rodrigo rohan roisin roman rosa rosie ruben ruby rune ruth salvatore sam samir samira samuel sanjay santiago saoirse
sara sarah sasha scarlett sean sebastian selin selma seojun seppo sergei sergey sergio shira shreya sibel signe sigrid
silas silvia simon simone siobhan siri sofia sofie sofiya solveig sonja sophia sophie soren stanislav stefan stefano
stella stephen stine sunita susana svea sven svenja svetlana sylvie tamar tanja tara tarik tariq tatiana tatyana teresa
tereza thea theo theodor theresa thiago thibault thomas thuy tiago till tim timo tina tiril tobias tom tomas tomasz
tommaso tommy toni tove trine tristan trond tuomas ulf ulrika uma ursula vaclav valentin valentina valeria vanessa vanya
vasilis vera veronica vicente victor victoria viggo vikram viktor viktoriya vincent viola vittoria vladimir vojtech
volkan walter wiktoria wilhelm willem william willow wojciech xavier ximena yael yannis yara yasemin yasmin yelena yosef
yui yuki yulia yuliya yuna yusra yusuf yuto yves zainab zara zbigniew zdenek zelie zeynep zoe zofia zuzanna
"""

GIVEN_NAMES = frozenset(_NAMES.split())
