# Un trabajo además de la obra: pausas, la misma casa dos veces, reglas nuevas y la vida de la solicitud.

job-paused = En pausa desde el { $date }, por { $who }: { $reason }
job-cancelled = Cancelado el { $date } por { $who }: { $reason }
job-handed-over = Pasado a otro equipo el { $date } por { $who }: { $reason }
job-left-safe = La casa quedó segura: { $names }.
house-same-address = Otro trabajo tiene la misma dirección: { $label } ({ $number }). Si es la misma casa, enlácelos y diga por qué; un programa paga una vez por hogar.
house-same-serial = Otro trabajo tiene el mismo número de serie { $serial }: { $label } ({ $number }). Mire las dos placas; enlácelos si es una sola casa.
house-linked = Enlazado con otro trabajo de esta casa: { $label } ({ $number }).

screen-visits = Visitas
screen-rules = Reglas del programa
rules-pinned = Este trabajo sigue { $name }, { $edition }.
rules-newest = En la biblioteca no hay reglas más nuevas.
rules-editions = Este trabajo sigue: { $was }. Más nuevas en la biblioteca: { $now }.
rules-same = No cambia nada de lo que se pide.
rules-effect = Qué cambia para este trabajo
rules-no-effect = No falta ni más ni menos que antes.
rule-key-name = Nombre
rule-key-edition = Edición
rule-key-grant = Ayuda
rule-key-currency = Moneda
rule-key-keep-years = Años que se guardan los registros
rule-was-is = { $was } → { $now }
rule-days = { $was } días → { $now } días
rule-added = Nuevo.
rule-removed = Ya no se pide.
rule-changed = Pide otra cosa que antes.
rule-no-longer-missing = Ya no falta.
action-accept-rules = Aceptar las reglas nuevas

screen-claim-life = La solicitud de pago
moved-sent = Enviada, versión { $version }
moved-received = Recibida, versión { $version }
moved-queried = Con consulta, versión { $version }
moved-answered = Respondida, versión { $version }
moved-short-paid = Pagada en parte, versión { $version }
moved-refused = Rechazada, versión { $version }
moved-paid = Pagada, versión { $version }
life-pack = paquete { $pack }
life-next-none = Aún no enviada. Haga el paquete, envíelo y anote el día.
life-next-waiting = La tiene el programa. Nada que hacer hasta que conteste.
life-next-queried = Responda a la consulta: { $text }
life-next-answered = Respondida. Envíela otra vez si el programa lo quiere así; si no, espere.
life-next-refused = Rechazada: { $text } Corríjalo y envíela otra vez, o cierre el trabajo.
life-next-short = Falta por cobrar: { $amount }. Pídalo o anote por qué no.
life-next-paid = Pagada por completo. Guarde los registros el tiempo que dice el programa.

visit-recorded = Anotado.
visit-filled = Rellenado con lo que ya se sabe: { $names }.
visit-not-left-safe = Antes de dejar la casa, nadie dijo que esté hecho: { $names }.

why-calibration = { $name } se calibró hace demasiado: válido hasta el { $until }, usado el { $date }.
lapse-ends = Termina con el documento renovado.
