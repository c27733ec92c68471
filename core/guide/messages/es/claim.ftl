# El PDF del cobro: títulos, columnas, estados.

claim-title = Cobro según el programa { $programme }
claim-pages = { "{page}" } / { "{pages}" }
claim-mark = hecho de { $mark }
claim-whole-word = Listo
claim-whole = Esta solicitud se puede pagar: todo lo que pide el programa { $programme } está aquí y cuenta. La tabla de pruebas dice en qué se apoya cada línea.
claim-not-whole-word = Todavía no
claim-not-whole = { $count ->
    [0] Está todo lo pedido; lo dicho arriba lo impide.
    [one] Una cosa que pide el programa falta o no cuenta.
   *[other] { $count } cosas que pide el programa faltan o no cuentan.
}
claim-house = Casa
claim-programme = Programa
claim-business = Empresa
claim-grant = Ayuda
claim-as-of = Con fecha
claim-wall = Una hilada por etapa, de la inspección abajo al cobro arriba; un ladrillo por cada cosa que el trabajo necesita.
claim-missing = Lo que todavía falta
claim-deadlines = Plazos
claim-due-met = { $due }; cumplido el { $met }
claim-due-open = { $due }; pendiente
claim-evidence = Lo que se muestra y en qué se apoya
claim-evidence-how = Cada línea es una cosa que pide el programa. La última columna nombra los archivos de la carpeta «originals» por los primeros ocho caracteres de su nombre, y cuántos registros firmados respaldan la línea.
claim-column-wanted = Lo que se pide y cómo está
claim-column-rests = Se apoya en
claim-column-where = Dónde está
claim-column-asked = Pregunta
claim-column-answer = Respuesta
claim-column-usual = Usual
claim-column-by = Por
claim-entries = { $count ->
    [one] 1 registro
   *[other] { $count } registros
}
claim-earlier = { $count ->
    [one] un registro anterior
   *[other] { $count } registros anteriores
}
shown-met = mostrado
shown-doubtful = mostrado, fuera de lo usual
shown-failed = no cuenta
shown-open = falta
shown-waiting = en espera
shown-not-needed = no hace falta
rests-chain = registros firmados de un mismo teléfono, en su orden
rests-seen = registros firmados de dos teléfonos, el posterior escrito con el anterior a la vista
rests-arrival = el reloj de la oficina: tenía antes el primero
rests-clock = la hora de los propios teléfonos
rests-date = fechas en los documentos
rests-signed = registros firmados
claim-photo-alt = { $what }, registrada el { $date }
claim-photo-no-time = sin hora propia
claim-photo-distance = a { $distance } de la casa, rumbo { $bearing } ({ $place })
claim-photo-phone-place = Lugar del teléfono: { $place }
claim-photo-tag = Etiqueta del trabajo: { $what }
tag-own = leída
tag-other-job = de otro trabajo
tag-not-genuine = no auténtica
tag-none = no leída
claim-words-digest = SHA-256 de las palabras: { $digest }
claim-photo-passed-over = No cuenta: { $why }
claim-photo-grade = Calidad: { $grade }
claim-paper-pages = { $count ->
    [one] 1 página
   *[other] { $count } páginas
}
claim-figures = Cifras
claim-figures-how = Calculadas de las respuestas de arriba. Son una segunda opinión: mandan el listado, el manual y el código adoptado.
claim-annex = Anexo: otras cifras
claim-verdict = Según el cálculo
verdict-pass = dentro de lo pedido
verdict-fail = no como se pide
verdict-caution = con precaución
verdict-cannot_tell = no se puede decir
claim-signatures = Firmas
claim-signature-alt = Firma de { $name }
claim-covers = Cubre { $count } registros, resumen { $digest }
signed-signed = firmó en el aparato
signed-declined = se negó a firmar
signed-on-paper = firmó en papel
claim-check = Cómo revisar este paquete
claim-check-how = Descomprímalo y ejecute «sha256sum -c SHA256SUMS»: cada archivo debe dar OK. READ-ME-FIRST.txt dice cómo revisar los registros firmados con herramientas comunes, o en un paso con «wythe check-pack».
claim-check-whose = Este paquete se firmó para { $business }. La huella de su clave: { $fingerprint }. Compárela con la que la empresa le dio una vez.

sign-sheet-covers = Lo que abarca
sign-sheet-digest = SHA-256 de lo que abarca: { $digest }
sign-sheet-lines = Líneas para nombre, fecha y firma
sign-sheet-name = Nombre
sign-sheet-date = Fecha
sign-sheet-signature = Firma
sign-here = Firmar aquí
sign-on-paper = Firmado en papel
sign-decline = Negarse a firmar
claim-signed-page = La hoja firmada: { $name }
