// node validate.js EDITION [PROFILE]: what general-purpose validators say about an
// edition, as JSON on stdout. NODE_PATH names the installed packages.
const fs = require('fs')
const path = require('path')
const Ajv = require('ajv')
const Ajv2020 = require('ajv/dist/2020')
const addFormats = require('ajv-formats')
const { Package } = require('datapackage')

async function main(edition, profile) {
  const report = { profile: null, documents: {}, descriptor: [], rows: {}, errors: [] }
  const read = (...parts) => JSON.parse(fs.readFileSync(path.join(...parts), 'utf8'))
  if (profile) {
    const ajv = new Ajv({ strict: false, allErrors: true })
    addFormats(ajv)
    const valid = ajv.compile(read(profile))
    report.profile = valid(read(edition, 'datapackage.json')) ? [] : valid.errors.map((e) => `${e.instancePath} ${e.message}`)
  }
  const ajv = new Ajv2020({ strict: false, allErrors: true })
  addFormats(ajv)
  const valid = ajv.compile(read(edition, 'schema', 'subject.schema.json'))
  for (const name of fs.readdirSync(path.join(edition, 'subjects')).sort()) {
    report.documents[name] = valid(read(edition, 'subjects', name)) ? [] : valid.errors.map((e) => `${e.instancePath} ${e.message}`)
  }
  const p = await Package.load(path.join(edition, 'datapackage.json'))
  report.descriptor = p.errors.map(String)
  for (const resource of p.resources) {
    try {
      const rows = await resource.read({ relations: true, keyed: true })
      report.rows[resource.name] = rows.length
    } catch (e) {
      for (const one of e.errors && e.errors.length ? e.errors : [e]) report.errors.push(`${resource.name}: ${one.message}`)
    }
  }
  console.log(JSON.stringify(report))
}

main(process.argv[2], process.argv[3]).catch((e) => {
  console.error(e)
  process.exit(1)
})
